"""What minds for a person at a screen does mind: each fault, put on a page in order, is told."""

import pytest

pytestmark = pytest.mark.browser


@pytest.mark.parametrize(
    ("fault", "told"),
    [
        ("<p style='width: 100vw; padding-right: 9px'>wide</p>", "wider than the screen"),
        ("<p><button style='all: unset'>x</button></p>", "too small to press"),
        ("<img src='/favicon.ico'>", "image-alt"),
    ],
)
def test_a_page_that_is_too_wide_too_small_or_unnamed_is_refused(fault, told, shop, person, facts):
    anyone = person(width=facts.phone).goes_to("/sign-in/")
    anyone.page.evaluate("html => document.querySelector('main').insertAdjacentHTML('beforeend', html)", fault)
    # The content security policy drops a style in the markup; one set by a script holds.
    anyone.page.evaluate(
        "document.querySelectorAll('main [style]').forEach(one => { one.style.cssText = one.getAttribute('style'); })"
    )
    with pytest.raises(AssertionError, match=told):
        anyone.looks_over()
    anyone.complaints.clear()


@pytest.mark.parametrize(
    ("fault", "told"),
    [
        ("console.error('torn')", "torn"),
        ("setTimeout(() => { throw new Error('slipped') })", "slipped"),
        ("fetch('/nothing-here/')", "404"),
        ("fetch('http://127.0.0.2:9/').catch(() => 0)", "127.0.0.2"),
    ],
)
def test_whatever_a_browser_complains_of_or_asks_elsewhere_is_heard(fault, told, shop, person):
    anyone = person().goes_to("/sign-in/")
    anyone.page.evaluate(f"() => {{ {fault} }}")
    for _wait in range(50):
        if any(told in complaint for complaint in anyone.complaints):
            break
        anyone.page.wait_for_timeout(100)
    assert any(told in complaint for complaint in anyone.complaints)
    anyone.complaints.clear()
