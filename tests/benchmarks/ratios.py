"""Pages, an API list and a card's PDF beside the barest thing of the same stack, in one run; what counts is the ratio.

Bare is a view behind every middleware and the same sign-in that makes one query of the same rows and renders them with
one template, the page's own frame included, as many bytes long as the page measured. Bare PDF is WeasyPrint alone on
the very HTML that the card's page hands it. Rounds are interleaved, the middle one is told, in seconds of work.
"""

from statistics import median
from time import perf_counter, process_time

from django.http import HttpResponse
from django.template import engines
from django.test import Client, override_settings
from django.urls import include, path
from rest_framework.response import Response

from projects.jobs.models import Room
from projects.platform.permissions import API_ROUTES, ROUTES, Role, Route
from tests.benchmarks.load_shop import copies, thrown_away

ROUNDS = 15
MOST = {"page": 1.5, "paper": 1.1}
BARE = """{% extends "base.html" %}{% block main %}<ul>{% for room in rooms %}
<li><a href="/rooms/{{ room.pk }}/">{{ room.name }}</a> {{ room.job.number }} {{ room.job.name }} {{ room.stage }}
{{ room.stage_since }} {{ room.waits_for }}</li>{% endfor %}</ul><p>{{ filler }}</p>{% endblock %}"""


def bare_page(request, rooms, size):
    """One query of so many rooms with their jobs, in the page's frame, filled up to the size."""
    found = Room.objects.of(request.shop).select_related("job").order_by("pk")[:rooms]
    words = {"rooms": found, "filler": "." * size}
    return HttpResponse(engines["django"].from_string(BARE).render(words, request))


def in_its_own_database(sizes):
    with thrown_away():
        yield from report(*sizes)


def _bare_list():
    from projects.jobs.api import RoomOut
    from projects.platform.api.views import ApiView

    class Bare(ApiView):
        schema = None

        def get(self, request, rooms):
            found = Room.objects.of(request.shop).select_related("job").order_by("pk")[:rooms]
            return Response({"results": RoomOut(found, many=True).data})

    return Bare.as_view()


class Urls:
    """The product's addresses with the bare ones beside them."""

    def __init__(self):
        from projects import urls

        bare = [path("bare/<int:rooms>/", _bare_list(), name="bare")]
        self.urlpatterns = [
            path("bare/<int:rooms>/<int:size>/", bare_page, name="bare"),
            path("api/v1/", include((bare, "api"))),
            *urls.urlpatterns,
        ]
        self.handler400, self.handler500 = urls.handler400, urls.handler500


def report(jobs=20, rooms=25):
    """Lines of the table; needs a database that may be thrown away."""
    from tests.factories import JobFactory, ShopFactory
    from tests.shops import issue, people_of, practice_room

    shop = ShopFactory()
    owner = people_of(shop)[Role.OWNER]
    first = practice_room(shop)
    revision = issue(first)
    copies(first, [JobFactory(shop=shop).pk for _ in range(jobs)], rooms)
    ROUTES["bare"] = API_ROUTES["bare"] = Route("read rooms")
    try:
        with override_settings(ROOT_URLCONF=Urls(), API_PER_MINUTE=0, WHITENOISE_AUTOREFRESH=False):
            client = Client()
            client.force_login(owner.user)
            of = f"of {jobs * rooms} rooms"
            yield f"{of:<34} {'ms of work':>10} {'bare':>8} {'ratio':>7} {'wanted':>7}"
            for name, address, shown in (
                ("Rooms, bare: a line a room", "/rooms/", min(jobs, 25) * rooms),
                ("Rooms, bare: a line a job", "/rooms/", min(jobs, 25)),
                ("Rooms as a table", "/rooms/?view=table", 100),
                ("a room's page", f"/rooms/{first.pk}/", 1),
                ("a room's card on a page", f"/rooms/{first.pk}/revisions/1/card/", 1),
            ):
                size = len(client.get(address).content)
                spare = max(size - len(client.get(f"/bare/{shown}/0/").content), 0)
                yield _line(name, *_both(client, address, f"/bare/{shown}/{spare}/"))
            yield _line("API list of rooms", *_both(client, "/api/v1/rooms/", "/api/v1/bare/50/"))
            yield _paper(first, revision)
    finally:
        del ROUTES["bare"], API_ROUTES["bare"]


def _both(client, ours, bare):
    """Seconds of work of each address, the middle of interleaved rounds."""
    took = ([], [])
    for _ in range(ROUNDS + 2):
        for one, address in zip(took, (ours, bare), strict=True):
            began = process_time()
            answer = client.get(address)
            one.append(process_time() - began)
            assert answer.status_code == 200, (address, answer.status_code)
    return median(took[0][2:]), median(took[1][2:])


def _line(name, ours, bare, most=MOST["page"]):
    ratio = ours / bare
    missed = "" if ratio <= most else "  missed"
    return f"{name:<34} {1000 * ours:>10.1f} {1000 * bare:>8.1f} {ratio:>7.2f} {most:>7.1f}{missed}"


def _paper(room, revision):
    """A card's PDF from its values, beside WeasyPrint alone on the HTML that it was set from. In seconds by the clock:
    the work is done by another process."""
    from weasyprint import HTML
    from weasyprint.text.fonts import FontConfiguration

    from reports.documents import card, pdf, press, press_child
    from reports.sheets import card_sheet

    sheet = card_sheet(revision, room)
    seen, lay_out = [], pdf.lay_out
    try:
        pdf.lay_out = lambda name, html: seen.append(html) or lay_out(name, html)
        card.card_pdf(sheet)
    finally:
        pdf.lay_out = lay_out
    html, fonts = seen[-1], FontConfiguration()
    fetcher = press_child.fetcher(press_child.assets(press.FONTS, press.STYLES))  # its styles and fonts, as the card's

    def plain():
        page = HTML(string=html, url_fetcher=fetcher(), base_url="asset:")
        return page.write_pdf(font_config=fonts, pdf_variant=pdf.VARIANT)

    plain()
    took = ([], [])
    for _ in range(ROUNDS):
        for one, made in zip(took, (lambda: card.card_pdf(sheet), plain), strict=True):
            began = perf_counter()
            made()
            one.append(perf_counter() - began)
    note = "" if len(seen) == 1 else f"  (set {len(seen)} times to fit)"
    return _line("a card's PDF, beside WeasyPrint", median(took[0]), median(took[1]), MOST["paper"]) + note
