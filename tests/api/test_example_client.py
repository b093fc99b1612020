"""The example client against a running server: what it shows works, word for word."""

import subprocess
import sys
from pathlib import Path
from urllib.error import URLError

import pytest

from projects.jobs.models import Job
from projects.platform.permissions import Role
from projects.traffic import counts
from tests.api.example_client import client as example
from tests.api.houses import House, token_of
from tests.factories import JobFactory

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def house():
    return House()


@pytest.fixture
def client(house, live_server):
    return example.Client(live_server.url, token_of(house.people[Role.OWNER]), rest=lambda seconds: None)


def test_it_opens_a_job_adds_rooms_reads_and_changes(client):
    job = client.open_job("J-301", "Fern Row", client="Fern Row owners")
    rooms = client.add_rooms(job, [{"name": "Kitchen"}, {"name": "Hall", "level": "1"}])
    assert [room.name for room in rooms] == ["Kitchen", "Hall"]
    assert [room.name for room in client.rooms(job=str(job.id))] == ["Kitchen", "Hall"]
    assert client.change_job(job, name="Fern Row, north").name == "Fern Row, north"
    assert client.job(job.id).name == "Fern Row, north"


def test_every_row_of_a_long_list_comes_once(house, client):
    JobFactory.create_batch(120, shop=house.shop)
    ids = [job.id for job in client.jobs(page_size="50")]
    assert len(ids) == len(set(ids)) == 121


def test_an_edit_of_what_was_read_too_long_ago_says_both(house, client):
    job = client.job(house.job.pk)
    client.change_job(job, name="Theirs")
    with pytest.raises(example.Problem) as stale:
        client.change_job(job, name="Mine")
    assert (stale.value.status, stale.value.kind) == (412, "stale")
    [difference] = stale.value.told["difference"]
    assert difference == {"pointer": "/name", "yours": "Mine", "theirs": "Theirs"}


def test_what_is_wrong_is_told_by_its_place(client, house):
    with pytest.raises(example.Problem) as refused:
        client.add_rooms(client.job(house.job.pk), [{"name": "Den"}, {"name": "Loft", "hue": "red"}])
    assert (refused.value.kind, list(refused.value.errors)) == ("bulk-refused", ["/items/1/hue"])


def test_an_answer_that_got_lost_is_asked_for_again_and_nothing_is_made_twice(client, house, monkeypatch):
    """The line breaks after the server has done it: what is sent again is answered as the first time."""
    real, lost = example.urlopen, []

    def breaks(request, **more):
        answer = real(request, **more)
        if request.method == "POST" and not lost:
            lost.append(answer.read())
            raise URLError("the line broke")
        return answer

    monkeypatch.setattr(example, "urlopen", breaks)
    job = client.open_job("J-302", "Lost and found")
    assert lost and Job.objects.of(house.shop).get(number="J-302").pk == job.id


def test_it_waits_as_long_as_it_is_told(house, live_server, settings, monkeypatch):
    waited, now = [], [1_800_000_000.0]

    def rest(seconds):
        waited.append(seconds)
        now[0] += seconds

    monkeypatch.setattr(counts.time, "time", lambda: now[0])
    settings.API_PER_MINUTE = 2
    counts.forget()
    client = example.Client(live_server.url, token_of(house.people[Role.OWNER]), rest=rest)
    assert [client.job(house.job.pk).id for _ in range(3)] == [house.job.pk] * 3
    assert waited == [61]
    counts.forget()


def test_its_token_goes_to_its_own_server_alone(client):
    led_away = client._address("http://elsewhere.example/api/v1/jobs/?cursor=x")
    assert led_away == f"{client.server}/api/v1/jobs/?cursor=x"


def test_its_types_hold():
    """mypy, strict: whoever copies it has types from the first line."""
    where = Path(example.__file__)
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--follow-imports=silent", str(where)],
        capture_output=True, text=True, cwd=where.parents[3], check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout
