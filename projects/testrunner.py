"""Makes `manage.py test` run pytest; knows nothing of what is tested."""

import os
from argparse import ArgumentParser
from collections.abc import Sequence
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


class PytestRunner:
    """Django's TEST_RUNNER: hands every word after `manage.py test` to pytest and exits with pytest's own code."""

    def __init__(self, **options: object) -> None:
        """Django's own test options are not used: manage.py passes everything on as a label."""

    @classmethod
    def add_arguments(cls, parser: ArgumentParser) -> None:
        """Add none, so that -k, -m, -x and the rest reach pytest unread."""

    def run_tests(self, labels: Sequence[str], **options: object) -> None:
        os.chdir(ROOT)  # pytest finds its settings and tests from here, wherever the command was typed
        # Returned, any failure would become exit code 1; pytest tells apart failed, interrupted and nothing found.
        raise SystemExit(int(pytest.main(list(labels))))
