"""The list of packages: all that serving takes, at the versions that are pinned, and nothing that only tests need."""

import json
import re
import tomllib

import pytest
from django.core.management import CommandError, call_command
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from projects.platform import sbom
from tests.guide.pages import ROOT

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    to = tmp_path_factory.mktemp("sbom") / "sbom.json"
    call_command("sbom", "--to", str(to))
    return json.loads(to.read_text())


def versions(told):
    return {canonicalize_name(one["name"]): one.get("version") for one in told["components"]}


def test_what_is_pinned_is_in_it_at_that_version(told):
    here = versions(told)
    for line in PROJECT["dependencies"] + PROJECT["optional-dependencies"]["serve"]:
        pinned = Requirement(line)
        assert here[canonicalize_name(pinned.name)] == str(pinned.specifier).removeprefix("==")


def test_what_those_stand_on_is_in_it_too(told):
    # Django needs asgiref and sqlparse, and WeasyPrint tinycss2 (their own published requirements).
    assert {"asgiref", "sqlparse", "tinycss2"} <= versions(told).keys()


def test_what_only_tests_need_is_not(told):
    assert not {"pytest", "playwright", "ruff", "mypy", "schemathesis", "cyclonedx-bom"} & versions(told).keys()


def test_each_says_what_it_is_and_where_it_is_from(told):
    assert (told["bomFormat"], told["specVersion"]) == ("CycloneDX", "1.6")
    assert told["metadata"]["component"]["version"] == PROJECT["version"]
    for one in told["components"]:
        if one["type"] == "library":
            assert re.fullmatch(r"pkg:pypi/[\w.-]+@[\w.+-]+", one["purl"]), one["name"]
    refs = {one["bom-ref"] for one in told["components"]} | {told["metadata"]["component"]["bom-ref"]}
    for each in told["dependencies"]:
        assert {each["ref"], *each.get("dependsOn", ())} <= refs


def test_a_folder_that_is_not_there_is_said(tmp_path, monkeypatch):
    monkeypatch.setattr("projects.platform.management.commands.sbom.document", lambda everything: {"components": []})
    with pytest.raises(CommandError, match="--to"):
        call_command("sbom", "--to", str(tmp_path / "none" / "sbom.json"))


def test_without_the_tool_it_says_where_to_make_it(monkeypatch):
    monkeypatch.setattr(sbom, "Requirement", None)
    with pytest.raises(sbom.CannotList, match="where the tests run"):
        sbom.document()


@pytest.mark.long
def test_it_holds_to_the_format_s_own_schema(told):
    from cyclonedx.schema import SchemaVersion
    from cyclonedx.validation.json import JsonStrictValidator

    assert JsonStrictValidator(SchemaVersion.V1_6).validate_str(json.dumps(told)) is None
