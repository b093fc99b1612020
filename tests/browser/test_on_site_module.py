"""The phone's own answers, with no signal: the module run in a real browser on the cases the engine answered."""

import json
from pathlib import Path

import pytest

import layout
from tests.engine.on_site_cases import FILE

pytestmark = pytest.mark.browser

MODULE = Path(layout.__file__).parent / "static" / "layout" / "on-site.js"


def test_the_phone_answers_as_the_engine_does(chromium):
    cases = json.loads(FILE.read_text())
    page = chromium.new_page()
    told = []
    page.on("pageerror", lambda error: told.append(str(error)))
    page.goto("about:blank")
    answers = page.evaluate(
        """async ([source, sites]) => {
          const module = await import(URL.createObjectURL(new Blob([source], {type: 'text/javascript'})));
          return sites.map(site => module.onSite(site));
        }""",
        [MODULE.read_text(), [case["site"] for case in cases]],
    )
    page.close()
    assert not told
    assert len(answers) >= 200
    for case, answer in zip(cases, answers, strict=True):
        assert answer == case["answer"], case["site"]
