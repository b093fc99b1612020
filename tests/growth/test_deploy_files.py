"""What projects/deploy says is true of this checkout: commands exist, settings are known, nothing runs as root."""

import os
import re
import subprocess
import sys

import pytest
from django.core.management import get_commands

from tests.growth.processes import DEPLOY, ROOT, Unit, compose

SERVICES = compose()["services"]
OURS = {name: service for name, service in SERVICES.items() if service.get("image") == "ceilingbook"}
UNITS = sorted(path.name for path in DEPLOY.glob("*.service"))
OTHERS = {"DATABASE_URL", "PATH"}


def known():
    """Every variable that settings and the server's configuration read."""
    text = "".join(path.read_text() for path in (ROOT / "projects/settings.py", DEPLOY / "gunicorn_conf.py"))
    text += "".join(path.read_text() for path in (ROOT / "projects").rglob("*.py") if "deploy" not in path.parts)
    return set(re.findall(r"CEILINGBOOK_[A-Z_]+", text)) | OTHERS


def words_of(service):
    return " ".join(service["command"])


def in_commands(words):
    return re.findall(r"manage\.py (\w+)", words)


@pytest.mark.parametrize("name", OURS)
def test_a_service_runs_a_command_that_is_there_and_not_as_root(name):
    service = OURS[name]
    script = re.search(r"projects/deploy/\S+\.sh", words_of(service))
    words = words_of(service) + ((ROOT / script[0]).read_text() if script else "")
    assert in_commands(words) and set(in_commands(words)) <= set(get_commands())
    assert service["user"] != "0:0" and service["read_only"] and service["cap_drop"] == ["ALL"]
    assert set(service["environment"]) <= known()
    assert {volume.split(":")[0] for volume in service["volumes"]} <= set(compose()["volumes"])


def test_who_is_asked_to_end_has_longer_than_a_page_may_take():
    conf = (DEPLOY / "gunicorn_conf.py").read_text()
    (grace,) = re.findall(r"^graceful_timeout = (\d+)", conf, re.MULTILINE)
    for name, service in OURS.items():
        assert int(service["stop_grace_period"].removesuffix("s")) > int(grace), name
    for name in ("ceilingbook-web.service", "ceilingbook-work@.service"):
        assert int(Unit(name)["Service"]["TimeoutStopSec"]) > int(grace), name


def test_pages_are_asked_whether_they_are_ready_before_they_are_sent_anybody():
    assert "/readyz" in " ".join(SERVICES["web"]["healthcheck"]["test"])
    assert SERVICES["web"]["depends_on"]["prepare"]["condition"] == "service_completed_successfully"
    assert {"migrate", "collectstatic"} == set(in_commands(words_of(SERVICES["prepare"])))


@pytest.mark.parametrize("name", UNITS)
def test_a_unit_runs_a_command_that_is_there_and_not_as_root(name):
    service = Unit(name)["Service"]
    words = service["ExecStart"]
    if script := re.search(r"projects/deploy/\S+\.sh", words):
        assert os.access(ROOT / script[0], os.X_OK)
        words = (ROOT / script[0]).read_text()
    assert in_commands(words) and set(in_commands(words)) <= set(get_commands())
    assert service["User"] not in ("", "root") and service["NoNewPrivileges"] == "true"
    assert service["EnvironmentFile"] == "/etc/ceilingbook.env"


def test_the_example_sets_what_is_known_and_nothing_that_would_work_as_a_secret():
    lines = [line for line in (DEPLOY / "env.example").read_text().splitlines() if line and line[0] != "#"]
    told = dict(line.split("=", 1) for line in lines)
    assert set(told) <= known()
    secret = [name for name in told if re.search("KEY|TOKEN", name)]
    assert len(secret) == 2 and all("change-me" in told[name] for name in secret)


@pytest.mark.parametrize("key", ["", "change-me-to-a-long-random-text-of-your-own"])
def test_in_production_no_server_starts_without_a_secret_of_its_own(tmp_path, key):
    env = {"PATH": os.environ["PATH"], "CEILINGBOOK_PRODUCTION": "1", "CEILINGBOOK_VAR": str(tmp_path)}
    asked = [sys.executable, "-c", "import projects.settings"]
    refused = subprocess.run(asked, cwd=ROOT, env=env | {"CEILINGBOOK_SECRET_KEY": key}, capture_output=True, text=True)
    assert refused.returncode and "CEILINGBOOK_SECRET_KEY" in refused.stderr
    good = env | {"CEILINGBOOK_SECRET_KEY": "k" * 50}
    assert subprocess.run(asked, cwd=ROOT, env=good, capture_output=True).returncode == 0


def test_the_proxy_hands_on_what_the_pages_ask_of_it():
    conf = (DEPLOY / "proxy.conf").read_text()
    told = ("Host $host", "X-Forwarded-For $remote_addr", "X-Forwarded-Proto $scheme", "X-Request-ID $request_id")
    assert [header for header in told if f"proxy_set_header {header};" not in conf] == []
    # Row 37: a slow client is cut off after 30 s between two things it sends, and holds no thread of ours.
    assert "client_header_timeout 30s;" in conf and "client_body_timeout 30s;" in conf
    assert "$request_uri" not in conf.split("log_format")[1].split(";")[0], "an address may be a client's secret"
