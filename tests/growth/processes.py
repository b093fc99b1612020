"""Starts what projects/deploy describes as plain processes on this machine, on the database of the tests.

Commands and settings are read from compose.yaml and the units; only places (ports, folders, the database's address)
are others. On SQLite the file of the tests stands in the folder under the name it has in use.
"""

import http.client
import os
import shlex
import signal
import socket
import subprocess
import sys
import time
from configparser import ConfigParser
from pathlib import Path
from urllib.parse import quote

import yaml
from django.conf import settings
from django.db import connection

ROOT = Path(__file__).resolve().parents[2]
DEPLOY = ROOT / "projects" / "deploy"
PATIENCE = 120  # seconds until a test gives up waiting; nothing is asserted about time


def compose():
    return yaml.safe_load((DEPLOY / "compose.yaml").read_text())


class Unit(ConfigParser):
    """A systemd unit; a setting that stands several times is kept as lines of one value."""

    def __init__(self, name):
        super().__init__(strict=False, interpolation=None, delimiters=("=",), comment_prefixes=("#",))
        self.optionxform = str
        self.read_string((DEPLOY / name).read_text())


def unit_command(name):
    """A unit's ExecStart with this checkout's places."""
    words = shlex.split(Unit(name)["Service"]["ExecStart"])
    return [sys.executable, *words[1:]]


def environment(var, **more):
    """What every process of one server is told, whichever machine it is on."""
    kept = {name: value for name, value in os.environ.items() if name in ("PATH", "HOME", "LANG")}
    return kept | {
        "CEILINGBOOK_VAR": str(var),
        "CEILINGBOOK_SECRET_KEY": settings.SECRET_KEY,
        "CEILINGBOOK_LOG": "json",
        "CEILINGBOOK_RESTARTED": "1",
        "CEILINGBOOK_HEALTH_TOKEN": "a-health-token-of-the-tests",
        "DATABASE_URL": _address_of_the_tests_database(var),
        "PYTHONPATH": str(ROOT),
        **more,
    }


def _address_of_the_tests_database(var):
    of = connection.settings_dict
    if connection.vendor == "sqlite":
        (Path(var) / "ceilingbook.sqlite3").symlink_to(of["NAME"]) if not list(Path(var).glob("ceil*")) else None
        return ""
    who = quote(of["USER"]) + (f":{quote(of['PASSWORD'])}" if of["PASSWORD"] else "")
    port = f":{of['PORT']}" if of["PORT"] else ""
    if str(of["HOST"]).startswith("/"):
        return f"postgresql://{who}@{port}/{of['NAME']}?host={of['HOST']}"
    return f"postgresql://{who}@{of['HOST']}{port}/{of['NAME']}"


def start(command, env, log, **more):
    words = [sys.executable if word in ("python3", "python") else word for word in command]
    return subprocess.Popen(words, cwd=ROOT, env=env, stderr=log, stdout=log, **more)


def start_on_socket(command, env, log, listening):
    """As systemd starts a service behind a socket: the socket is descriptor 3, and LISTEN_PID names who takes it."""

    def hand_over():
        os.dup2(listening.fileno(), 3)
        os.set_inheritable(3, True)

    line = shlex.join([sys.executable, "-c", TAKE_OVER, *command])
    return subprocess.Popen(
        ["sh", "-c", f"exec {line}"], cwd=ROOT, env=env | {"LISTEN_FDS": "1"}, stderr=log, stdout=log,
        preexec_fn=hand_over, pass_fds=(3,),
    )  # fmt: skip


TAKE_OVER = "import os, sys; os.environ['LISTEN_PID'] = str(os.getpid()); os.execv(sys.argv[1], sys.argv[1:])"


def stop(processes):
    for process in processes:
        if process.poll() is None:
            process.send_signal(signal.SIGTERM)
    for process in processes:
        try:
            process.wait(PATIENCE)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def free_port():
    with socket.socket() as tried:
        tried.bind(("127.0.0.1", 0))
        return tried.getsockname()[1]


def ask(port, path, *, method="GET", body=None, headers=None):
    """(status, headers, body) over a connection of its own, as the proxy asks."""
    one = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    try:
        one.request(method, path, body=body, headers={"Connection": "close", **(headers or {})})
        answer = one.getresponse()
        return answer.status, dict(answer.getheaders()), answer.read()
    finally:
        one.close()


def wait_for(said, what):
    until = time.monotonic() + PATIENCE
    while not said():
        assert time.monotonic() < until, f"waited in vain: {what}"
        time.sleep(0.1)


def is_ready(port):
    try:
        return ask(port, "/readyz")[0] == 200
    except OSError:
        return False
