"""The takeoff is timed on rooms that are really laid out and counted. No time is asserted."""

import pytest

from tests.benchmarks.takeoff_times import job_of, report, timed


@pytest.mark.django_db
def test_a_job_of_three_rooms_is_timed():
    _head, row = report((3,))
    assert row.split()[0] == "3"
    assert row.count(" s ") == 4


@pytest.mark.django_db
def test_counting_again_asks_as_much_of_the_database_for_six_rooms_as_for_three():
    asked = []
    for rooms in (3, 6):
        job = job_of(rooms)
        counted, _, _ = timed(job)
        again, _, queries = timed(job)
        assert again == counted
        assert len(counted.rooms) == rooms
        asked.append(queries)
    assert asked[0] == asked[1]
