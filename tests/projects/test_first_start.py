"""The first start on a fresh machine: what is asked for, what is installed, and how it ends when it can't be."""

import os
import shutil
import subprocess
import sys
import threading
from types import SimpleNamespace

import pytest

import manage
from projects import bootstrap

LINE = "apt-get update && apt-get install -y --no-install-recommends libpango-1.0-0 chromium"


@pytest.fixture
def machine(monkeypatch):
    """A machine that has everything, until a test takes something away; commands are noted, not run."""
    machine = SimpleNamespace(lacks=set(), user=0, fails=set(), ran=[])

    def run(command, **options):
        machine.ran.append(command)
        return SimpleNamespace(returncode=100 if set(command) & machine.fails else 0)

    monkeypatch.setattr(bootstrap, "find_library", lambda name: None if name in machine.lacks else f"lib{name}.so")
    monkeypatch.setattr(bootstrap.shutil, "which", lambda name: None if name in machine.lacks else f"/usr/bin/{name}")
    monkeypatch.setattr(bootstrap, "find_spec", lambda name: None if name in machine.lacks else object())
    monkeypatch.setattr(bootstrap, "installed_here", lambda command: False)
    monkeypatch.setattr(bootstrap.os, "geteuid", lambda: machine.user)
    monkeypatch.setattr(bootstrap.subprocess, "run", run)
    return machine


@pytest.fixture
def fonts(monkeypatch, tmp_path):
    (tmp_path / "fonts").mkdir()
    (tmp_path / "fonts" / "Plain.ttf").touch()
    monkeypatch.setattr(bootstrap, "FONT_FOLDERS", (str(tmp_path / "absent"), str(tmp_path / "fonts")))
    return tmp_path / "fonts"


@pytest.fixture
def checkout(monkeypatch, tmp_path):
    """A checkout without .venv."""
    (tmp_path / "pyproject.toml").write_text("[project]\n")
    for module in (manage, bootstrap):
        monkeypatch.setattr(module, "ROOT", type(module.ROOT)(tmp_path))
        monkeypatch.setattr(module, "VENV", type(module.ROOT)(tmp_path / ".venv"))
    monkeypatch.setattr(manage, "PYTHON", str(tmp_path / ".venv" / "bin" / "python"))
    return tmp_path


def make_python(checkout):
    (checkout / ".venv" / "bin").mkdir(parents=True, exist_ok=True)
    (checkout / ".venv" / "bin" / "python").symlink_to(sys.executable)


def test_a_machine_that_has_everything_is_asked_for_nothing(machine, fonts):
    assert bootstrap.missing_packages("test") == []
    bootstrap.install([])
    assert machine.ran == []


def test_only_the_tests_ask_for_a_browser(machine, fonts):
    machine.lacks = {"pango-1.0", "chromium"}
    assert bootstrap.missing_packages("demo") == ["libpango-1.0-0"]
    assert bootstrap.missing_packages("test") == ["libpango-1.0-0", "chromium"]


def test_a_card_needs_one_font_at_least(machine, fonts):
    (fonts / "Plain.ttf").unlink()
    assert bootstrap.missing_packages("demo") == ["fonts-dejavu-core"]


def test_a_python_that_cannot_make_a_venv_is_completed_only_where_one_has_to_be_made(machine, fonts, checkout):
    machine.lacks = {"ensurepip"}
    assert bootstrap.missing_packages("demo") == [f"python3.{sys.version_info.minor}-venv"]
    make_python(checkout)
    assert bootstrap.missing_packages("demo") == []


def test_root_refreshes_the_package_list_then_installs(machine):
    bootstrap.install(["libpango-1.0-0", "chromium"])
    assert [" ".join(command) for command in machine.ran] == LINE.split(" && ")


def test_a_package_list_that_cannot_be_refreshed_may_still_do(machine):
    machine.fails = {"update"}
    bootstrap.install(["chromium"])
    assert len(machine.ran) == 2


def test_an_install_that_fails_ends_the_start_with_the_line_that_failed(machine):
    machine.fails = {"install"}
    with pytest.raises(SystemExit) as end:
        bootstrap.install(["libpango-1.0-0", "chromium"])
    assert LINE in end.value.code


def test_anyone_but_root_is_given_the_exact_line_and_nothing_is_run(machine):
    machine.user = 1000
    with pytest.raises(SystemExit) as end:
        bootstrap.install(["libpango-1.0-0", "chromium"])
    assert f"sudo sh -c '{LINE}'" in end.value.code
    assert machine.ran == []


def test_a_machine_without_apt_is_told_the_names(machine):
    machine.lacks = {"apt-get"}
    with pytest.raises(SystemExit) as end:
        bootstrap.install(["libpango-1.0-0", "chromium"])
    assert "libpango-1.0-0 chromium" in end.value.code
    assert machine.ran == []


def test_a_venv_counts_as_set_up_only_for_the_pyproject_it_was_made_from(checkout):
    assert not manage.is_set_up()
    make_python(checkout)
    assert not manage.is_set_up()  # the stamp is written last
    shutil.copy(checkout / "pyproject.toml", checkout / ".venv" / ".ready")
    assert manage.is_set_up()
    (checkout / "pyproject.toml").write_text("[project]\nversion = '2'\n")
    assert not manage.is_set_up()


def test_of_two_first_starts_at_once_one_works_and_one_waits(monkeypatch, checkout):
    ran = []
    monkeypatch.setattr(bootstrap, "_run", lambda command: (ran.append(command[2]), make_python_once(checkout)))
    starts = [threading.Thread(target=bootstrap.make_venv, args=[manage.is_set_up]) for _ in range(2)]
    for start in starts:
        start.start()
    for start in starts:
        start.join()
    assert ran == ["venv", "pip"]
    assert manage.is_set_up()


def make_python_once(checkout):
    if not (checkout / ".venv").exists():
        make_python(checkout)


def test_a_changed_pyproject_is_brought_in_without_making_the_venv_again(monkeypatch, checkout):
    ran = []
    make_python(checkout)
    (checkout / ".venv" / ".ready").write_text("older")
    monkeypatch.setattr(bootstrap, "_run", lambda command: ran.append(command[2]))
    bootstrap.make_venv(manage.is_set_up)
    assert ran == ["pip"]
    assert manage.is_set_up()


def test_a_setup_that_breaks_off_leaves_no_stamp(monkeypatch, checkout):
    make_python(checkout)
    (checkout / ".venv" / ".ready").write_text("older")
    monkeypatch.setattr(bootstrap, "_run", lambda command: sys.exit("no network"))
    with pytest.raises(SystemExit):
        bootstrap.make_venv(manage.is_set_up)
    assert not (checkout / ".venv" / ".ready").exists()


def test_a_venv_without_its_packages_ends_in_a_sentence_and_not_in_a_ring(tmp_path):
    """A real start: .venv says it is ready, and holds no Django."""
    for part in ("manage.py", "pyproject.toml"):
        shutil.copy(os.path.join(manage.ROOT, part), tmp_path)
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", tmp_path / ".venv"], check=True)
    shutil.copy(tmp_path / "pyproject.toml", tmp_path / ".venv" / ".ready")
    start = subprocess.run(
        [sys.executable, tmp_path / "manage.py", "check"],
        env={name: value for name, value in os.environ.items() if name != "PYTHONPATH"},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert start.returncode == 1
    assert f"Remove {tmp_path / '.venv'} and run this again" in start.stderr
