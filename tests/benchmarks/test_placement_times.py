"""The bench command runs, without a database, and speaks of every kind of room and zone. No time is asserted."""

import pytest
from django.core.management import call_command

from tests.benchmarks import placement_times, wiring_gaps


@pytest.mark.long
def test_bench_times_every_kind(capsys):
    call_command("bench")
    machine, _, *lines = capsys.readouterr().out.splitlines()
    assert "Python" in machine
    named = [line[:26].rstrip() for line in lines]
    assert named == [*placement_times.KINDS, "", *wiring_gaps.KINDS]


@pytest.mark.long
@pytest.mark.parametrize("kind", wiring_gaps.KINDS)
def test_a_chain_is_never_more_than_3_percent_over_the_shortest(kind):
    for over, nearest_first, proven, _ in wiring_gaps.tried(*wiring_gaps.KINDS[kind]):
        assert 0 <= over <= min(3, nearest_first)
        assert proven or wiring_gaps.KINDS[kind][1] > 16
