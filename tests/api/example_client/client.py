"""An example: a small client of the API in plain Python, with types and nothing to install.

It does what every client should: it sends a new key with each POST, so that a try that got lost can be repeated; it
edits from the tag it read; it reads lists by their cursor; it waits when it is told to; and it makes one exception of
every problem.
"""

import json
import time
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any
from urllib.error import HTTPError, URLError
from urllib.parse import urlencode, urlsplit, urlunsplit
from urllib.request import Request, urlopen

Json = dict[str, Any]
TRIES = 4
WORTH_ANOTHER_TRY = (409, 429, 503)


class Problem(Exception):
    """What the server said, RFC 9457: kind is the last part of its type, like stale or refused."""

    def __init__(self, told: Json, retry_after: int | None):
        super().__init__(f"{told['status']} {told['title']}: {told['detail']}")
        self.told, self.retry_after = told, retry_after

    @property
    def status(self) -> int:
        return int(self.told["status"])

    @property
    def kind(self) -> str:
        return str(self.told["type"]).rstrip("/").rsplit("/", 1)[1]

    @property
    def errors(self) -> dict[str, str]:
        """What is wrong, by where it stands in the body or by the question's name."""
        named = self.told.get("errors", ())
        return {each.get("pointer", each.get("parameter", "")): each["detail"] for each in named}


@dataclass(frozen=True)
class Length:
    """nm: whole nanometers, exact; text: as the shop's tape shows it."""

    nm: int
    text: str = ""


@dataclass(frozen=True)
class Job:
    id: int
    number: str
    name: str
    tag: str = field(compare=False)


@dataclass(frozen=True)
class Room:
    id: int
    job: int
    name: str
    stage: int


@dataclass(frozen=True)
class Client:
    """server: like https://book.example.com; token: made on its page Tokens."""

    server: str
    token: str
    rest: Callable[[float], None] = time.sleep

    # Jobs and rooms

    def open_job(self, number: str, name: str, **more: str) -> Job:
        told, tag = self.post("jobs/", {"number": number, "name": name, **more})
        return _job(told, tag)

    def job(self, job_id: int) -> Job:
        return _job(*self.get(f"jobs/{job_id}/"))

    def jobs(self, **asked: str) -> Iterator[Job]:
        return (_job(row, "") for row in self.rows("jobs/", **asked))

    def change_job(self, job: Job, **changes: str) -> Job:
        """Raises Problem of kind `stale` when somebody else saved it since it was read."""
        return _job(*self.send("PATCH", f"jobs/{job.id}/", changes, {"If-Match": job.tag}))

    def add_rooms(self, job: Job, rooms: list[Json]) -> list[Room]:
        """All of them or none."""
        told, _ = self.post(f"jobs/{job.id}/rooms/bulk/", {"items": rooms})
        return [_room(each) for each in told["items"]]

    def rooms(self, **asked: str) -> Iterator[Room]:
        return (_room(row) for row in self.rows("rooms/", **asked))

    # What everything stands on

    def get(self, path: str, **asked: str) -> tuple[Json, str]:
        return self.send("GET", path + (f"?{urlencode(asked)}" if asked else ""))

    def post(self, path: str, body: Json) -> tuple[Json, str]:
        return self.send("POST", path, body, {"Idempotency-Key": str(uuid.uuid4())})

    def rows(self, path: str, **asked: str) -> Iterator[Json]:
        """Every row of a list, each once, whatever is added meanwhile."""
        following: str | None = f"{path}?{urlencode({**asked, 'cursor': ''})}"
        while following:
            page, _ = self.send("GET", following)
            yield from page["results"]
            following = page["next"]

    def send(self, method: str, path: str, body: Json | None = None, headers: Json | None = None) -> tuple[Json, str]:
        """The answer and its tag. What had no answer, or is to wait, is sent again as it was. Raises Problem."""
        for n in range(TRIES):
            try:
                return self._once(method, path, body, headers or {})
            except Problem as problem:
                waits = problem.retry_after is not None and problem.status in WORTH_ANOTHER_TRY
                if not waits or n == TRIES - 1:
                    raise
                self.rest(problem.retry_after or 1)
            except (URLError, ConnectionError):
                if n == TRIES - 1:
                    raise
                self.rest(2**n)
        raise AssertionError("every try returns or raises")

    def _once(self, method: str, path: str, body: Json | None, headers: Json) -> tuple[Json, str]:
        data = None if body is None else json.dumps(body).encode()
        told = {"Authorization": f"Bearer {self.token}", "Content-Type": "application/json", **headers}
        try:
            with urlopen(Request(self._address(path), data, told, method=method), timeout=60) as answer:
                content = answer.read()
                return (json.loads(content) if content else {}), answer.headers.get("ETag", "")
        except HTTPError as refused:
            wait = refused.headers.get("Retry-After")
            raise Problem(json.loads(refused.read()), int(wait) if wait else None) from None

    def _address(self, path: str) -> str:
        """The token goes to this server alone, whatever an answer gives as the next address."""
        here, there = urlsplit(self.server), urlsplit(path)
        place = there.path if there.path.startswith("/") else f"/api/v1/{there.path}"
        return urlunsplit((here.scheme, here.netloc, place, there.query, ""))


def _job(told: Json, tag: str) -> Job:
    return Job(told["id"], told["number"], told["name"], tag)


def _room(told: Json) -> Room:
    return Room(told["id"], told["job"], told["name"], told["stage"])
