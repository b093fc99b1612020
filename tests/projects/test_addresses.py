"""An address from a kept shape is the one that Django works out each time."""

import pytest
from django.template import engines
from django.urls import NoReverseMatch, get_resolver, reverse, set_script_prefix
from django.urls.converters import IntConverter
from django.urls.resolvers import RoutePattern

from projects.platform.addresses import address_of


def pages(patterns):
    """(name, how many ids) of every page whose address has nothing in it but ids."""
    for each in patterns:
        if isinstance(each.pattern, RoutePattern) and not hasattr(each, "url_patterns") and each.name:
            kinds = list(each.pattern.converters.values())
            if all(isinstance(kind, IntConverter) for kind in kinds):
                yield each.name, len(kinds)
        elif not getattr(each, "namespace", None):
            yield from pages(getattr(each, "url_patterns", ()))


EVERY = sorted(set(pages(get_resolver().url_patterns)))


@pytest.fixture
def under_a_folder():
    set_script_prefix("/100%/book/")
    yield
    set_script_prefix("/")


def test_every_page_with_ids_is_tried():
    assert len(EVERY) > 200
    assert ("room", 1) in EVERY and ("rooms", 0) in EVERY


@pytest.mark.parametrize("start", [0, 1, 73, 10**15])
def test_each_page_has_the_address_that_is_worked_out(start):
    for name, count in EVERY:
        ids = tuple(range(start, start + count))
        assert address_of(name, *ids) == reverse(name, args=ids)


def test_a_book_in_a_folder_has_the_folder_before_each_address(under_a_folder):
    assert address_of("room", 5) == reverse("room", args=[5])
    assert address_of("room", 5).endswith("/book/rooms/5/")


def test_a_page_that_is_not_there_and_too_few_ids_are_refused_as_ever():
    for name, ids in (("no such page", ()), ("room", ()), ("room", (1, 2))):
        with pytest.raises(NoReverseMatch):
            address_of(name, *ids)


@pytest.mark.parametrize("room", [5, "5", "5<"])
def test_a_template_says_what_djangos_own_tag_says(room):
    ours = engines["django"].from_string("{% url 'room' room %} {% url 'room' room as kept %}{{ kept }}")
    try:
        told = f"{reverse('room', args=[room])} {reverse('room', args=[room])}"
    except NoReverseMatch:
        with pytest.raises(NoReverseMatch):
            ours.render({"room": room})
    else:
        assert ours.render({"room": room}) == told
