"""Sets up a fresh machine for manage.py: the project's own Python in .venv, and the few system packages it leans on.

Runs before anything is installed: standard library only, no Django, no settings.
"""

import fcntl
import os
import shlex
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Callable
from ctypes.util import find_library
from importlib import metadata
from importlib.util import find_spec
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
VENV_PACKAGE = f"python{sys.version_info.major}.{sys.version_info.minor}-venv"  # Debian keeps ensurepip in it
# Library as the loader knows it -> Debian package. Together they set the text of the printed cards.
LIBRARIES = {
    "pango-1.0": "libpango-1.0-0",
    "pangoft2-1.0": "libpangoft2-1.0-0",
    "harfbuzz-subset": "libharfbuzz-subset0",
}
FONT_FOLDERS = ("/usr/share/fonts", "/usr/local/share/fonts", "/System/Library/Fonts")


def missing_packages(command: str) -> list[str]:
    """Debian packages that `demo` or `test` cannot do without and this machine does not have yet."""
    missing = [package for library, package in LIBRARIES.items() if find_library(library) is None]
    if not any(files for folder in FONT_FOLDERS for _, _, files in os.walk(folder)):
        missing.append("fonts-dejavu-core")
    if command == "test" and shutil.which("chromium") is None:
        missing.append("chromium")
    if find_spec("ensurepip") is None and not VENV.exists() and not installed_here(command):
        missing.append(VENV_PACKAGE)
    return missing


def install(packages: list[str]) -> None:
    """Install Debian packages when root on a machine with apt; otherwise say what to install and exit 1."""
    if not packages:
        return
    names = " ".join(packages)
    line = f"apt-get update && apt-get install -y --no-install-recommends {names}"
    if shutil.which("apt-get") is None:
        sys.exit(f"This machine lacks these (their Debian names): {names}. Install them, then run this again.")
    if os.geteuid() != 0:
        sys.exit(f"This machine lacks {names}. Run this line, then start again:\n  sudo sh -c '{line}'")
    say(f"Installing {names} ...")
    for step in line.split(" && "):
        done = subprocess.run(
            step.split(),
            env={**os.environ, "DEBIAN_FRONTEND": "noninteractive"},
            stdin=subprocess.DEVNULL,
            stdout=sys.stderr,
        )
    if done.returncode:  # of the install alone: a package list that could not be refreshed may still be good enough
        sys.exit(f"Could not install {names}; the reason is above. This is the line that failed:\n  {line}")


def installed_here(command: str) -> bool:
    """Whether the Python now running has every package the project pins (a container, a venv of one's own)."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    pins = project["dependencies"] + (project["optional-dependencies"]["test"] if command == "test" else [])
    try:
        return all(metadata.version(name.split("[")[0]) == version for name, version in (p.split("==") for p in pins))
    except metadata.PackageNotFoundError:
        return False


def make_venv(is_set_up: Callable[[], bool]) -> None:
    """Make .venv, or bring a finished one up to a changed pyproject.toml; of two at once, one works and one waits.

    Args:
        is_set_up: whether there is nothing left to do; asked again once the lock is held.
    """
    with open(ROOT / ".venv.lock", "w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if is_set_up():
            return
        stamp, python = VENV / ".ready", VENV / "bin" / "python"
        wanted = (ROOT / "pyproject.toml").read_bytes()
        if stamp.exists() and python.exists():
            say("pyproject.toml has changed: bringing .venv up to it ...")
            stamp.unlink()
        else:
            if find_spec("ensurepip") is None:
                install([VENV_PACKAGE])
            say("Making .venv, once (a minute or two) ...")
            _run([sys.executable, "-m", "venv", "--clear", str(VENV)])
        pip = [str(python), "-m", "pip", "--disable-pip-version-check", "--no-input", "-qq"]
        _run([*pip, "install", "--editable", f"{ROOT}[test,serve]"])
        stamp.write_bytes(wanted)


def _run(command: list[str]) -> None:
    done = subprocess.run(command, stdin=subprocess.DEVNULL, stdout=sys.stderr)
    if done.returncode:
        sys.exit(f"This failed (exit {done.returncode}); the reason is above:\n  {shlex.join(command)}")


def say(line: str) -> None:
    print(line, file=sys.stderr, flush=True)
