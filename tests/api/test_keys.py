"""A POST with an Idempotency-Key has one effect, and the same answer each time.

Source: draft-ietf-httpapi-idempotency-key-header, section 2: missing 400, other payload 422, in flight 409.
"""

import json
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.utils import timezone

from projects.jobs import services
from projects.jobs.models import Job
from projects.platform.api import keyed
from projects.platform.permissions import Role
from projects.traffic import once
from projects.traffic.models import KeptAnswer
from tests.api.houses import problem_of

BODY = {"number": "J-77", "name": "Seventy-seven"}


def open_job(asker, house, body=None, key="k-1", **headers):
    return asker.post(house.address("jobs"), BODY if body is None else body, Idempotency_Key=key, **headers)


def jobs_with(number):
    return Job.objects.every_shop().filter(number=number).count()


def test_the_same_request_again_is_answered_as_the_first_time(house):
    asker = house.ask()
    first, again = open_job(asker, house), open_job(asker, house)
    assert first.status_code == again.status_code == 201
    assert (first.content, first["Location"], first["ETag"]) == (again.content, again["Location"], again["ETag"])
    assert again["Content-Type"] == first["Content-Type"]
    assert jobs_with("J-77") == 1


def test_the_answer_stays_the_first_one_though_the_record_changed_since(house):
    asker = house.ask()
    first = open_job(asker, house)
    asker.edit("PATCH", first["Location"], {"name": "Changed"})
    assert open_job(asker, house).content == first.content


def test_a_quoted_key_is_the_same_key(house):
    """RFC 8941 writes it in quotes; many programs don't."""
    asker = house.ask()
    open_job(asker, house, key="abc")
    assert open_job(asker, house, key='"abc"').status_code == 201
    assert jobs_with("J-77") == 1


@pytest.mark.parametrize("other", [{"number": "J-78", "name": "x"}, {**BODY, "note": ""}, {}])
def test_another_body_with_the_same_key_is_refused(house, other):
    asker = house.ask()
    open_job(asker, house)
    assert problem_of(open_job(asker, house, other), 422)["type"].endswith("/problems/key-used-otherwise/")
    assert Job.objects.of(house.shop).count() == 2


def test_another_address_with_the_same_key_is_refused(house):
    asker = house.ask()
    open_job(asker, house)
    told = asker.post(house.address("job_rooms"), BODY, Idempotency_Key="k-1")
    problem_of(told, 422)


def test_a_key_belongs_to_one_person_in_one_shop(house, neighbor):
    assert open_job(house.ask(Role.OWNER), house).status_code == 201
    other = open_job(house.ask(Role.ESTIMATOR), house, {**BODY, "number": "J-78"})
    assert (other.status_code, other.json()["number"]) == (201, "J-78")
    theirs = open_job(neighbor.ask(), neighbor)
    assert theirs.status_code == 201
    assert Job.objects.of(neighbor.shop).get(number="J-77").pk == theirs.json()["id"]


def test_two_tokens_of_one_person_share_their_keys(house):
    """A program that got a new token between two tries does it once all the same."""
    assert open_job(house.ask(), house).content == open_job(house.ask(), house).content
    assert jobs_with("J-77") == 1


def test_what_was_refused_had_no_effect_and_the_key_may_come_again(house):
    asker = house.ask()
    problem_of(open_job(asker, house, {"number": "J-77"}), 400)
    assert not KeptAnswer.objects.every_shop().exists()
    assert open_job(asker, house).status_code == 201


def test_a_fault_of_ours_leaves_neither_effect_nor_key(house, monkeypatch):
    real = services.open_job

    def breaks(*args, **kwargs):
        real(*args, **kwargs)
        raise RuntimeError("after the row was written")

    asker = house.ask()
    monkeypatch.setattr(services, "open_job", breaks)
    problem_of(open_job(asker, house), 500)
    assert jobs_with("J-77") == 0 and not KeptAnswer.objects.every_shop().exists()
    monkeypatch.setattr(services, "open_job", real)
    assert open_job(asker, house).status_code == 201


def test_answer_and_effect_are_written_together_or_not_at_all(house, monkeypatch):
    """Killed anywhere before the commit, neither is there; after it, both are."""

    def killed(*args):
        raise SystemExit

    asker = house.ask()
    monkeypatch.setattr(once, "keep", killed)
    monkeypatch.setattr(once, "let_go", lambda held: None)  # a killed process lets nothing go
    with pytest.raises(SystemExit), transaction.atomic():
        open_job(asker, house)
    assert jobs_with("J-77") == 0


def claim_of(house, *, minutes):
    """As a request that is being worked on, or that was killed so many minutes ago, leaves it."""
    KeptAnswer.objects.every_shop().update(
        status=None, body=b"", headers="{}", content_type="", begun_at=timezone.now() - timedelta(minutes=minutes)
    )


def test_while_it_is_worked_on_others_are_told_to_wait(house):
    asker = house.ask()
    open_job(asker, house)
    claim_of(house, minutes=1)
    response = open_job(asker, house)
    assert problem_of(response, 409)["type"].endswith("/problems/in-flight/")
    assert int(response["Retry-After"]) >= 1


def test_what_a_killed_process_left_is_taken_up_again(house):
    """Its effect was never committed, for the answer would be there."""
    asker = house.ask()
    open_job(asker, house)
    Job.objects.of(house.shop).filter(number="J-77").delete()
    claim_of(house, minutes=3)
    assert open_job(asker, house).status_code == 201
    assert jobs_with("J-77") == 1


def test_one_who_lost_the_claim_meanwhile_has_no_effect(house, monkeypatch):
    """It was slower than anybody waits, and another took the key over."""
    real = services.open_job

    def slowly(*args, **kwargs):
        KeptAnswer.objects.every_shop().update(claim="f" * 32)
        return real(*args, **kwargs)

    monkeypatch.setattr(services, "open_job", slowly)
    problem_of(open_job(house.ask(), house), 409)
    assert jobs_with("J-77") == 0


@pytest.mark.parametrize("hours", [24, 48, 71])
def test_a_key_is_kept_for_two_days_at_least(house, hours):
    asker = house.ask()
    first = open_job(asker, house)
    KeptAnswer.objects.every_shop().update(begun_at=timezone.now() - timedelta(hours=hours))
    assert open_job(asker, house).content == first.content


def test_after_three_days_a_key_is_forgotten(house):
    asker = house.ask()
    open_job(asker, house)
    KeptAnswer.objects.every_shop().update(begun_at=timezone.now() - timedelta(hours=73))
    assert "/number" in [error["pointer"] for error in problem_of(open_job(asker, house), 400)["errors"]]


@pytest.mark.parametrize("key", ["", '""', " ", "a b", "x" * 201, "é", "a\x7f", '"a"b c'])
def test_what_is_no_key_is_refused(house, key):
    told = problem_of(open_job(house.ask(), house, key=key), 400)
    assert told["errors"][0]["parameter"] == keyed.HEADER
    assert jobs_with("J-77") == 0


def test_only_digests_of_key_and_request_are_kept(house):
    open_job(house.ask(), house, key="secret-key-of-mine")
    kept = KeptAnswer.objects.every_shop().get()
    assert "secret-key-of-mine" not in str(vars(kept))
    assert len(kept.key) == len(kept.request) == 64
    assert json.loads(bytes(kept.body))["number"] == "J-77"


def test_an_upload_again_is_the_same_though_its_boundary_is_another(house, rf):
    """Two requests of a browser never share a boundary."""

    class Asked:
        method = "POST"

        def __init__(self, content):
            made = rf.post("/x/", {"note": "a", "file": SimpleUploadedFile("a.jpg", content)})
            self.POST, self.FILES, self.content_type = made.POST, made.FILES, made.headers["Content-Type"]

        def get_full_path(self):
            return "/x/"

    assert keyed._digest(Asked(b"one")) == keyed._digest(Asked(b"one")) != keyed._digest(Asked(b"two"))
