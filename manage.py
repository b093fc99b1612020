#!/usr/bin/env python3
"""Runs a command of Ceilingbook; on a machine with nothing but Python it first sets up what that command needs.

Every command starts through this file, so until the project's own Python runs it imports os and sys alone.
How the setting up is done stands in projects/bootstrap.py.
"""

import os
import sys

ROOT = os.path.dirname(os.path.abspath(__file__))
VENV = os.path.join(ROOT, ".venv")
PYTHON = os.path.join(VENV, "bin", "python")
RESTARTED = "CEILINGBOOK_RESTARTED"  # set across the one restart, so that a failed setup ends instead of going round


def is_set_up():
    """Whether .venv was finished for today's pyproject.toml: its stamp, written last, is a copy of that file."""
    try:
        return os.access(PYTHON, os.X_OK) and _bytes(VENV, ".ready") == _bytes(ROOT, "pyproject.toml")
    except OSError:
        return False


def _bytes(*path):
    with open(os.path.join(*path), "rb") as file:
        return file.read()


def enter_venv(command):
    """Restart this very command under the project's own Python, made first if need be; return if there's no need."""
    if os.path.realpath(sys.prefix) == os.path.realpath(VENV):
        return
    if not is_set_up():
        from projects import bootstrap

        if not os.path.exists(VENV) and bootstrap.installed_here(command):
            return
        bootstrap.make_venv(is_set_up)
    os.environ[RESTARTED] = "1"
    os.execv(PYTHON, [PYTHON, *sys.orig_argv[1:]])


def main():
    if sys.version_info < (3, 11):  # noqa: UP036  an older Python gets this far, and should hear why it ends here
        sys.exit(f"Ceilingbook needs Python 3.11 or newer; this is {sys.version.split()[0]}.")
    command = sys.argv[1] if len(sys.argv) > 1 else "help"
    if not os.environ.pop(RESTARTED, None):
        if command in ("demo", "test"):
            from projects import bootstrap

            bootstrap.install(bootstrap.missing_packages(command))
        enter_venv(command)

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "projects.settings")
    try:
        from django.core.management import execute_from_command_line
    except ImportError as missing:
        sys.exit(f"{missing}, although {sys.prefix} was set up. Remove {VENV} and run this again.")
    argv = list(sys.argv)
    if command == "test" and "--" not in argv:
        argv.insert(2, "--")  # everything after `test` belongs to pytest, options too
    from projects.platform.speaking import speak
    from projects.platform.walling import this_process_runs_commands

    this_process_runs_commands(True)
    if command != "test":
        speak(via="command")
    execute_from_command_line(argv)


if __name__ == "__main__":
    main()
