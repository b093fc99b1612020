"""A shop's day at its busiest against a running server: so many clients, a second of thought between two things.

Four of five things are looks, by pages and by the API; the fifth is a write. What is told is how long answers took as
the clients saw it, and what the server's own threads worked, which other work on the machine adds little to.
"""

import http.client
import json
import os
import random
import re
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections import defaultdict
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

ROOT = Path(__file__).resolve().parents[2]
PAGES = (
    ("home", "/"), ("rooms", "/rooms/"), ("wall", "/rooms/?view=wall"), ("table", "/rooms/?view=table"),
    ("jobs", "/jobs/"), ("job", "/jobs/{job}/"), ("room", "/rooms/{room}/"), ("room", "/rooms/{room}/"),
    ("card", "/rooms/{room}/revisions/1/card/"), ("measurements", "/rooms/{room}/measurements/"), ("field", "/field/"),
)  # fmt: skip
API = (
    ("api rooms", "/api/v1/rooms/"), ("api rooms", "/api/v1/rooms/?page=40"), ("api room", "/api/v1/rooms/{room}/"),
    ("api jobs", "/api/v1/jobs/"), ("api job's rooms", "/api/v1/jobs/{job}/rooms/"),
)  # fmt: skip
WHO = ("owner", "estimator", "crew_lead")
GOALS = {"pages": 150, "api": 80, "writes": 500}  # ms of the 95th, of writes the 99th of a hundred


@dataclass
class Seen:
    """What the clients saw: seconds by name, and whatever was no good answer."""

    seconds: dict = field(default_factory=lambda: defaultdict(list))
    wrong: list = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def note(self, group, name, took, status, wanted):
        with self.lock:
            self.seconds[group, name].append(took)
            if status not in wanted:
                self.wrong.append((name, status))


class Visitor:
    """One client with a connection that is kept, as a browser keeps it, signed in as somebody of the shop."""

    def __init__(self, port, shop, number, seen):
        self.port, self.shop, self.seen = port, shop, seen
        self.chance, self.who = random.Random(number), WHO[number % len(WHO)]
        self.cookies = {"sessionid": shop["sessions"][self.who]}
        self.line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)

    def visit(self, until, think):
        time.sleep(self.chance.random() * think)
        while time.monotonic() < until:
            chosen = self.chance.random()
            try:
                self.write() if chosen < 0.2 else self.look(API if chosen < 0.4 else PAGES)
            except OSError as error:
                self.seen.note("writes", "lost", 0.0, repr(error), ())
                self.line.close()
            time.sleep(think * (0.5 + self.chance.random()))

    def look(self, of):
        name, path = self.chance.choice(of)
        path = path.format(room=self.chance.choice(self.shop["rooms"]), job=self.chance.choice(self.shop["jobs"]))
        self.ask("GET", path, group="api" if of is API else "pages", name=name)

    def write(self):
        """A room's words over the API, or its form as a browser sends it back; 412 and 409: somebody was first."""
        room = self.chance.choice(self.shop["rooms"])
        if self.chance.random() < 0.5:
            path = f"/api/v1/rooms/{room}/"
            _, headers, _ = self.ask("GET", path, group="api", name="api room")
            body = json.dumps({"note": f"seen {self.chance.random():.6f}"})
            more = {"If-Match": headers.get("ETag", ""), "Content-Type": "application/json"}
            self.ask("PATCH", path, body, more, group="writes", name="change over the API", wanted=(200, 412))
            return
        path = f"/rooms/{room}/edit/"
        _, _, page = self.ask("GET", path, group="pages", name="edit")
        boxes = boxes_of(page.decode(), "zero_x") | {"note": f"seen {self.chance.random():.6f}"}
        more = {"Content-Type": "application/x-www-form-urlencoded"}
        self.ask("POST", path, urlencode(boxes), more, group="writes", name="change by a form", wanted=(302, 409))

    def ask(self, method, path, body=None, headers=None, *, group, name, wanted=(200,)):
        if path.startswith("/api/"):
            headers = {"Authorization": f"Bearer {self.shop['tokens'][self.who]}", **(headers or {})}
        else:
            kept = "; ".join(f"{key}={value}" for key, value in self.cookies.items())
            headers = {"Cookie": kept, **(headers or {})}
        began = time.perf_counter()
        self.line.request(method, path, body, headers)
        answer = self.line.getresponse()
        told = answer.read()
        self.seen.note(group, name, time.perf_counter() - began, answer.status, wanted)
        for key, value in answer.getheaders():
            if key == "Set-Cookie" and (found := re.match(r"(\w+)=([^;]*)", value)):
                self.cookies[found[1]] = found[2]
        return answer.status, dict(answer.getheaders()), told


def boxes_of(page, holding):
    from tests.shops import _Forms

    parser = _Forms()
    parser.feed(page)
    return next(boxes for _, boxes in parser.forms if holding in boxes)


def run(folder, shop, *, minutes, clients, think, processes, threads):
    """Serve the folder's book and visit it; returns (Seen, lines of its log, seconds of its work, wall seconds)."""
    port = _free_port()
    env = {
        **os.environ, "CEILINGBOOK_VAR": str(folder), "CEILINGBOOK_LOG": "json", "CEILINGBOOK_SECRET_KEY": SECRET,
        "CEILINGBOOK_BIND": f"127.0.0.1:{port}", "CEILINGBOOK_PROCESSES": str(processes),
        "CEILINGBOOK_THREADS": str(threads), "CEILINGBOOK_API_PER_MINUTE": "0", "PYTHONPATH": str(ROOT),
    }  # fmt: skip
    with (Path(folder) / "server.log").open("w+") as log:
        server = subprocess.Popen(
            [sys.executable, "manage.py", "serve"], cwd=ROOT, env=env, stdout=log, stderr=log, start_new_session=True
        )
        try:
            _wait_until_ready(port, server)
            seen, warm = Seen(), Seen()
            _visit(port, shop, warm, clients, 3 * think + 3, think)  # every template and table is read once
            log.flush()
            before, at, mark = work_of(server.pid), time.monotonic(), os.path.getsize(log.name)
            _visit(port, shop, seen, clients, minutes * 60, think)
            worked, took = work_of(server.pid) - before, time.monotonic() - at
        finally:
            server.send_signal(signal.SIGTERM)
            server.wait(90)
        log.seek(mark)
        return seen, log.read().splitlines(), worked, took


SECRET = "measured-and-thrown-away-measured-and-thrown-away"


def _visit(port, shop, seen, clients, seconds, think):
    until = time.monotonic() + seconds
    threads = [
        threading.Thread(target=Visitor(port, shop, number, seen).visit, args=(until, think))
        for number in range(clients)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def _free_port():
    import socket

    with socket.socket() as tried:
        tried.bind(("127.0.0.1", 0))
        return tried.getsockname()[1]


def _wait_until_ready(port, server):
    for _ in range(600):
        if server.poll() is not None:
            sys.exit("The server ended before it was ready; see server.log.")
        line = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
        try:
            line.request("GET", "/readyz")
            if line.getresponse().status == 200:
                return
        except OSError:
            pass
        finally:
            line.close()
        time.sleep(0.2)
    sys.exit("The server was not ready within two minutes; see server.log.")


def work_of(pid):
    """Seconds that a process and those it started have worked on a core."""
    total = 0
    for each in [pid, *_children(pid)]:
        with open(f"/proc/{each}/stat") as stat:
            fields = stat.read().rsplit(")", 1)[1].split()
        total += int(fields[11]) + int(fields[12])
    return total / os.sysconf("SC_CLK_TCK")


def _children(pid):
    with open(f"/proc/{pid}/task/{pid}/children") as file:
        return [int(each) for each in file.read().split()]


def part(values, share):
    """The value that this share of all is at or below."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))] if ordered else 0.0


def seed(folder, jobs, rooms):
    env = {**os.environ, "CEILINGBOOK_VAR": str(folder), "CEILINGBOOK_SECRET_KEY": SECRET, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "tests.benchmarks.load_shop", str(jobs), str(rooms)]
    told = subprocess.run(command, cwd=ROOT, env=env, stdout=subprocess.PIPE, check=True).stdout
    (Path(folder) / "shop.json").write_bytes(told)
    return json.loads(told)


def report(*, jobs=200, rooms=25, minutes=5.0, clients=16, think=1.0, processes=(1,), threads=4, folder=None):
    """Lines of the table, for each number of processes. folder: where a seeded book is, or is to be kept.

    On PostgreSQL the book is in the database of DATABASE_URL, which has to be empty the first time.
    """
    with tempfile.TemporaryDirectory() as own:
        place = Path(folder or own)
        place.mkdir(parents=True, exist_ok=True)
        known = place / "shop.json"
        if known.exists():
            shop = json.loads(known.read_text())
        else:
            began = time.perf_counter()
            shop = seed(place, jobs, rooms)
            took = time.perf_counter() - began
            yield f"{len(shop['rooms']):,} rooms in {len(shop['jobs'])} jobs written in {took:.0f} s"
        at_first = os.getloadavg()[0]
        for number in processes:
            how = {"minutes": minutes, "clients": clients, "think": think, "processes": number, "threads": threads}
            seen, log, worked, took = run(place, shop, **how)
            yield from table(seen, log, worked, took, at_first, **how)


def table(seen, log, worked, took, at_first, *, minutes, clients, think, processes, threads):
    lines = [json.loads(line) for line in log if line.startswith("{")]
    asked = [line for line in lines if line["message"] == "answered"]
    locked = [line for line in lines if "locked" in json.dumps(line)]
    count = sum(map(len, seen.seconds.values()))
    yield (
        f"{clients} clients, {think:g} s of thought, {minutes:g} minutes, {processes} process of {threads} threads: "
        f"{count:,} answers, {count / took:.1f} a second; the server worked {worked:.0f} s of {took:.0f}, "
        f"{1000 * worked / max(count, 1):.0f} ms an answer; machine's load before it {at_first:.1f}"
    )
    yield f"locked: {len(locked)}; no good answer: {len(seen.wrong)} {sorted(set(seen.wrong))[:5]}"
    yield f"{'ms, as clients saw it':<24} {'count':>6} {'half':>7} {'95 of':>7} {'99 of':>7} {'longest':>8}"
    groups = defaultdict(list)
    for (group, name), took_each in sorted(seen.seconds.items()):
        groups[group] += took_each
        yield _row(f"  {name}", took_each)
    for group, goal in GOALS.items():
        at = 0.99 if group == "writes" else 0.95
        yield f"{_row(group, groups[group])}   wanted: {goal} ms of {at * 100:.0f} in a hundred"
    yield f"{'ms of work in its thread':<44} {'count':>6} {'half':>7} {'95 of':>7}   and of waiting 95 of"
    by_route = defaultdict(list)
    for line in asked:
        by_route[line["http.request.method"] + " " + line["http.route"]].append((line["ms_of_work"], line["ms"]))
    for route, both in sorted(by_route.items()):
        work, whole = zip(*both, strict=True)
        yield f"  {route:<42} {len(work):>6} {part(work, 0.5):>7.1f} {part(work, 0.95):>7.1f} {part(whole, 0.95):>9.1f}"


def _row(name, seconds):
    ms = [1000 * each for each in seconds]
    last = max(ms, default=0.0)
    return f"{name:<24} {len(ms):>6} {part(ms, 0.5):>7.1f} {part(ms, 0.95):>7.1f} {part(ms, 0.99):>7.1f} {last:>8.1f}"
