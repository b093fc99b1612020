"""What this installation is built of: a CycloneDX document of the packages it runs on, made by their own tool.

The tool lists all that is installed; what only tests and linters need is taken out again, by what each package says
it requires. Knows nothing of Django.
"""

import json
import subprocess
import sys
import tomllib
from importlib import metadata
from pathlib import Path

try:
    from packaging.requirements import Requirement
    from packaging.utils import canonicalize_name
except ImportError:  # a server has no use for it
    Requirement = None

PYPROJECT = Path(__file__).resolve().parents[2] / "pyproject.toml"
WITHOUT = "What makes this list comes with the packages for tests: make it where the tests run."
RUNS_WITH = ("serve",)  # the extras a server is installed with
# What is not a package and yet handed out with every page.
FONT = {
    "bom-ref": "font-inter", "type": "file", "name": "Inter (latin, two weights)",
    "licenses": [{"license": {"acknowledgement": "declared", "id": "OFL-1.1"}}],
}  # fmt: skip


class CannotList(Exception):
    """Why there is no document, in words."""


def document(everything: bool = False) -> dict:
    """The CycloneDX 1.6 document as JSON values, without times: the same installation gives the same.

    everything: with what tests and linters need. Raises CannotList.
    """
    if Requirement is None:
        raise CannotList(WITHOUT)
    command = [sys.executable, "-m", "cyclonedx_py", "environment", "--output-reproducible", "--of", "JSON",
               "--sv", "1.6", "--no-validate", "--pyproject", str(PYPROJECT)]  # fmt: skip
    told = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    if told.returncode:
        why = told.stderr.strip().splitlines() or [f"ended with {told.returncode}"]
        raise CannotList(f"cyclonedx-bom: {why[-1]}. {WITHOUT}")
    whole = json.loads(told.stdout)
    whole["components"].append(FONT)
    return whole if everything else _only(whole, runs_on())


def runs_on() -> set[str]:
    """Names of the packages that serving takes: those pinned, and whatever they require in turn."""
    project = tomllib.loads(PYPROJECT.read_text())["project"]
    asked = list(project["dependencies"])
    for extra in RUNS_WITH:
        asked += project["optional-dependencies"][extra]
    found: set[tuple[str, str]] = set()
    waiting = [one for line in asked for one in _wanted(Requirement(line))]
    while waiting:
        name, extra = one = waiting.pop()
        if one in found:
            continue
        found.add(one)
        try:
            needs = metadata.requires(name) or ()
        except metadata.PackageNotFoundError:
            raise CannotList(f"{name} is not installed.") from None
        for need in map(Requirement, needs):
            if need.marker is None or need.marker.evaluate({"extra": extra}):
                waiting += _wanted(need)
    return {name for name, _ in found}


def _wanted(requirement):
    return [(canonicalize_name(requirement.name), extra) for extra in ("", *requirement.extras)]


def _only(whole, names):
    kept = [one for one in whole["components"] if one is FONT or canonicalize_name(one["name"]) in names]
    root = whole["metadata"]["component"]["bom-ref"]
    refs = {root, *(one["bom-ref"] for one in kept)}
    tree = []
    for each in whole.get("dependencies", ()):
        if each["ref"] in refs:
            on = [ref for ref in each.get("dependsOn", ()) if ref in refs]
            tree.append({"ref": each["ref"], **({"dependsOn": on} if on else {})})
    return {**whole, "components": kept, "dependencies": tree}
