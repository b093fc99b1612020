"""Real servers of several processes on the tests' own database, clients that write to them, and what each was told.

The ledger is the clients' own: what a server said it had kept is held against the database after the servers died.
"""

import http.client
import json
import os
import random
import signal
import sys
import threading
import time
import uuid
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

from django.db import connection

from tests.growth.processes import ask, environment, free_port, start, wait_for

CONFIG = "projects/deploy/gunicorn_conf.py"


def lives(port):
    try:
        return ask(port, "/livez")[0] == 200
    except OSError:
        return False


class Server:
    """gunicorn with several processes; loaded once before they part, so that one that died is followed at once."""

    def __init__(self, folder, processes=3, *, ulimit=None, **more):
        self.port, self.log = free_port(), (Path(folder) / "server-log").open("a+")
        env = environment(folder, CEILINGBOOK_BIND=f"127.0.0.1:{self.port}", CEILINGBOOK_API_PER_MINUTE="0", **more)
        command = [sys.executable, "-m", "gunicorn", "--config", CONFIG, "--preload", "-w", str(processes)]
        self.process = start([*command, "projects.wsgi"], env, self.log, preexec_fn=ulimit)

    def workers(self):
        """Process ids of those that answer."""
        task = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children")
        return [int(pid) for pid in task.read_text().split()] if task.exists() else []

    def kill_workers(self):
        for pid in self.workers():
            _kill(pid)

    def kill_all(self):
        """The whole server at once, as when power goes."""
        self.process.send_signal(signal.SIGSTOP)  # so that it starts no new one meanwhile
        self.kill_workers()
        self.process.kill()
        self.process.wait()

    def said(self):
        self.log.flush()
        return Path(self.log.name).read_text()


def _kill(pid):
    with suppress(ProcessLookupError):
        os.kill(pid, signal.SIGKILL)


@contextmanager
def serving(folder, processes=3, **more):
    server = Server(folder, processes, **more)
    try:
        wait_for(lambda: lives(server.port) or server.process.poll() is not None, "a server answers")
        assert server.process.poll() is None, server.said()
        yield server
    finally:
        if server.process.poll() is None:
            server.kill_all()
        server.log.close()


@dataclass
class Asked:
    """One request as a client keeps it: what it sent under which key, and what it was told, if it was."""

    kind: str
    name: str
    path: str
    body: bytes
    content_type: str = "application/json"
    key: str = field(default_factory=lambda: uuid.uuid4().hex)
    status: int | None = None  # None: nobody answered
    told: dict | None = None

    @property
    def kept(self):
        return self.status is not None and 200 <= self.status < 300

    def send(self, port, secret):
        headers = {"Authorization": f"Bearer {secret}", "Content-Type": self.content_type, "Idempotency-Key": self.key}
        try:
            self.status, _, body = ask(port, self.path, method="POST", body=self.body, headers=headers)
            self.told = json.loads(body)
        except (OSError, http.client.HTTPException, ValueError):
            self.status = None
        return self


def as_form(parts, files):
    """multipart/form-data (RFC 7578) of fields and {name: bytes}, and its content type."""
    edge = uuid.uuid4().hex
    pieces = [f'--{edge}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'.encode()
              for name, value in parts.items()]  # fmt: skip
    for name, content in files.items():
        head = f'--{edge}\r\nContent-Disposition: form-data; name="{name}"; filename="a.png"\r\n'
        pieces.append(head.encode() + b"Content-Type: image/png\r\n\r\n" + content + b"\r\n")
    return b"".join(pieces) + f"--{edge}--\r\n".encode(), f"multipart/form-data; boundary={edge}"


class Clients:
    """Threads that write one thing after the other; `asked` is the ledger of all of them."""

    def __init__(self, port, secret, makes, count=4, seed=8):
        self.asked, self._over = [], threading.Event()
        self._threads = [
            threading.Thread(target=self._write, args=(port, secret, makes, random.Random(seed * 100 + n)))
            for n in range(count)
        ]

    def __enter__(self):
        for thread in self._threads:
            thread.start()
        return self

    def end(self):
        self._over.set()

    def __exit__(self, *raised):
        self.end()
        for thread in self._threads:
            thread.join()

    def kept(self):
        return sum(asked.kept for asked in list(self.asked))

    def _write(self, port, secret, makes, chance):
        while not self._over.is_set():
            asked = chance.choice(makes)(chance).send(port, secret)
            self.asked.append(asked)
            if asked.status is None:
                time.sleep(0.05)  # nobody listens for a moment


def no_damage():
    """The database is whole: SQLite's own look over its file, and every foreign key on both engines."""
    connection.close()
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            assert cursor.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            assert cursor.execute("PRAGMA foreign_key_check").fetchall() == []
    else:
        connection.check_constraints()
