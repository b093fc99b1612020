"""The bench command runs, without a database, and speaks of every kind of room. No time is asserted."""

import pytest
from django.core.management import call_command

from tests.benchmarks import placement_times


@pytest.mark.long
def test_bench_times_every_kind(capsys):
    call_command("bench")
    machine, _, *lines = capsys.readouterr().out.splitlines()
    assert "Python" in machine
    assert [line[:26].rstrip() for line in lines] == list(placement_times.KINDS)
