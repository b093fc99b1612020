"""A row leads to its shop, its job and its room by keys that are told here by hand, as the records are described."""

import pytest
from django.apps import apps

from projects.platform.one_job import ways_to_job
from projects.platform.ways_up import JOB, ROOM, SHOP, as_lookup, as_sql, shortest_way, way_to_job, way_up


def way(label, up):
    found = way_to_job(apps.get_model(label)) if up == JOB else way_up(apps.get_model(label), up)
    return None if found is None else as_lookup(found)


@pytest.mark.parametrize(
    ("label", "shop", "job", "room"),
    [
        ("accounts.Shop", "pk", None, None),
        ("accounts.User", None, None, None),  # a person may work in several
        ("accounts.ApiToken", "member__shop", None, None),
        ("jobs.Job", "shop", "pk", None),
        ("jobs.Room", "shop", "job", "pk"),
        ("jobs.Reading", "measurement_set__room__shop", "measurement_set__room__job", "measurement_set__room"),
        ("jobs.FixtureCount", "room__shop", "room__job", "room"),  # not its fixture type's, which belongs to no job
        ("alike.Follows", "room__shop", "room__job", "room"),
        ("inspections.RoomResult", "visit__shop", "room__job", "room"),
        ("checks.Run", "shop", "job", "room"),  # a run of a whole job has no room
        ("prices.Conditions", "shop", "job", "room"),  # of a job or of a room
        ("bids.BidLine", "shop", "revision__bid__job", None),
        ("history.Entry", "shop", None, None),  # of no shop where the installation itself is changed
        ("work.Worker", None, None, None),
    ],
)
def test_a_row_leads_to_its_shop_its_job_and_its_room(label, shop, job, room):
    assert (way(label, SHOP), way(label, JOB), way(label, ROOM)) == (shop, job, room)


def test_a_key_that_may_be_empty_is_passed_only_where_that_is_asked_for():
    run = apps.get_model("checks.Run")
    assert shortest_way(run, ROOM) is None
    assert as_lookup(shortest_way(run, ROOM, may_be_empty=True)) == "room"
    assert shortest_way(apps.get_model("alike.Follows"), JOB, around={apps.get_model(ROOM)}) is None


def test_what_may_belong_to_two_jobs_is_held_to_both():
    assert {key.name for key in ways_to_job(apps.get_model("prices.Conditions"))} == {"job", "room"}
    assert ways_to_job(apps.get_model("purchasing.Leftover")) == ()  # a ledger across jobs


def test_the_same_way_as_sql():
    reading = apps.get_model("jobs.Reading")
    assert as_sql(reading, way_up(reading, ROOM)) == (
        '(SELECT h0."room_id" FROM "jobs_measurementset" h0 WHERE h0."id" = {row}."measurement_set_id")'
    )
    assert as_sql(apps.get_model(SHOP), ()) == '{row}."id"'
    assert as_sql(reading, None) == ""
