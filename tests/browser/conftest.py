"""A real browser on a running server: a small shop with one person of each role, and what a person at a screen does.

A person finds things by the words on them. Each page a person comes to is looked over: its accessibility, its width,
the size of what is pressed. Whatever the browser complains of, and whatever asks another host, fails the test.
"""

import re
import shutil
from contextlib import contextmanager
from datetime import timedelta
from types import SimpleNamespace
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from django.utils import timezone
from playwright.sync_api import expect, sync_playwright

from layout.engine.lengths import inches
from layout.services import issue_revision
from projects.accounts.services import add_person
from projects.catalogue.services import stock_catalog
from projects.jobs.models import Subject
from projects.jobs.services import add_room, record_measurements
from projects.platform.permissions import Role
from tests.factories import JobFactory, ShopFactory

PASSWORD = "plumb-level-square"
PHONE, DESK = 320, 1280  # CSS pixels
PATIENCE, PRINTING = 60_000, 240_000  # ms: a machine at work on other things is not a wrong answer
SERVED = re.compile(r"/print/$|/packet/$|[?&]paper=")  # answers that are files
FIELD = re.compile(r"^/rooms/\d+/(measurements/|revisions/\d+/card/)?$")  # pages used on a ladder, with gloves
TARGET, FIELD_TARGET = 24, 44  # CSS pixels. Source: WCAG 2.2, 2.5.8 (AA) and 2.5.5 (AAA)

# What can be pressed and is smaller than `least`. A box that its own label wraps is as big as the label. A link in a
# sentence is as high as its line: WCAG 2.2, 2.5.8 excepts it.
SMALL = """least => {
  const inSentence = one => one.tagName === 'A' && getComputedStyle(one).display === 'inline' &&
    [...one.parentNode.childNodes].some(near => near.nodeType === 3 && /[\\p{L}\\p{N}]/u.test(near.textContent));
  const links = least > 24 ? 'a.button' : 'a[href]';
  const named = `button, ${links}, input:not([type=hidden]), select, textarea, summary`;
  return [...document.querySelectorAll(named)]
    .filter(one => one.checkVisibility({visibilityProperty: true}) && !one.matches('.skip, [aria-hidden=true]'))
    .filter(one => !inSentence(one))
    .map(one => [one, (one.closest('label') ?? one).getBoundingClientRect()])
    .filter(([, at]) => at.height < least - 0.5 || at.width < 23.5)
    .map(([one, at]) => `${one.outerHTML.slice(0, 120)} is ${at.width.toFixed(1)} x ${at.height.toFixed(1)}`);
}"""

# What the page is, whatever numbers and tokens stand on it: one that was found in order is not gone through again.
KIND = """() => [innerWidth, matchMedia('(prefers-color-scheme: dark)').matches, document.documentElement.outerHTML
  .replace(/[\\w-]{16,}|\\b[0-9A-F]{6}\\b|\\d+/g, '')].join('\\n')"""
LOOKED_OVER: set[str] = set()


@pytest.fixture(scope="session")
def chromium():
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--disable-dev-shm-usage"], timeout=PATIENCE
        )
        expect.set_options(timeout=PATIENCE / 2)
        yield browser
        browser.close()


@pytest.fixture
def shop(settings, transactional_db):
    """Writes in feet and inches, has the usual catalog and one person of each role: shop.people['crew'] and so on."""
    # Signing in is tried for its way, not for its hashing, which takes most of a second.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    shop = ShopFactory(name="Level & Square", style="ft-in")
    stock_catalog(shop)
    shop.people = {
        role.value: add_person(
            shop,
            email=f"{role.value}@shop.example",
            name=f"Sam {role.value.replace('_', ' ').title()}",
            password=PASSWORD,
            role=role.value,
            may_approve=role is Role.OWNER,
        )
        for role in Role
    }
    return shop


@pytest.fixture
def job(shop):
    return JobFactory(shop=shop, number="26-101", name="House by the weir", site="Weir Road")


@pytest.fixture
def den(job):
    """A framed room of 12' 6 1/2" by 10' 3 1/4", taped last week by the crew lead; no revision yet."""
    return taped_room(job, "Den")


def taped_room(job, name, left_right="150 1/2", door_far="123 1/4", **fields):
    room = add_room(job, name=name, stage=1, **fields)
    record_measurements(
        room,
        [
            (Subject.DOOR.value, 1, inches(left_right), None),
            (Subject.LEFT.value, 1, inches(door_far), None),
            (Subject.HEIGHT.value, 1, inches("96 3/4"), None),
        ],
        by=job.shop.people["crew_lead"],
        kind="framing",
        taken_on=timezone.localdate() - timedelta(7),
        taken_by=job.shop.people["crew_lead"].user.name,
    )
    return room


@pytest.fixture
def issued(shop):
    """issued(room): the next revision of the room as it stands, by the estimator."""

    def issue(room):
        return issue_revision(room, by=shop.people["estimator"])

    return issue


@pytest.fixture(params=[PHONE, DESK], ids=["phone", "desk"])
def width(request):
    return request.param


@pytest.fixture
def person(chromium, live_server):
    """person(width=320): someone at a screen of their own. At the end none may have anything to complain of."""
    everyone = []

    def sit_down(*, width=DESK, member=None, scripts=True, **options):
        context = chromium.new_context(
            viewport={"width": width, "height": 800},
            base_url=live_server.url,
            java_script_enabled=scripts,
            reduced_motion="reduce",
            **options,
        )
        context.set_default_timeout(PATIENCE)
        if member:
            client = Client()
            client.force_login(member.user)
            session = client.cookies["sessionid"].value
            context.add_cookies([{"name": "sessionid", "value": session, "url": live_server.url}])
        someone = Person(context, live_server.url, scripts)
        everyone.append(someone)
        return someone

    yield sit_down
    for someone in everyone:
        someone.context.close()
    assert [told for someone in everyone for told in someone.complaints] == []


class Person:
    """Someone at a screen. `entries` counts the boxes typed in, `addresses` the pages looked over."""

    def __init__(self, context, url, scripts):
        self.context, self.url, self.scripts = context, url, scripts
        self.page = context.new_page()
        self.page.on("console", self._hears)
        self.page.on("pageerror", lambda error: self.complaints.append(f"{self.path}: {error}"))
        self.page.on("request", self._asks)
        self.complaints, self.addresses = [], []
        self.entries, self._expected = 0, None

    @property
    def path(self):
        return urlsplit(self.page.url).path

    def _hears(self, message):
        if message.type in ("error", "warning") and not (self._expected and self._expected in message.text):
            self.complaints.append(f"{self.path}: {message.type}: {message.text}")

    def _asks(self, request):
        if not request.url.startswith((self.url, "data:")):
            self.complaints.append(f"{self.path}: asked {request.url}")

    # What a person does

    def goes_to(self, path, status=200):
        with self.leads_on(status):
            self.page.goto(path)
        return self

    def signs_in(self, email, password=PASSWORD):
        self.goes_to("/sign-in/")
        self.types("E-mail", email)
        self.types("Password", password)
        return self.presses("Sign in")

    def presses(self, words, status=200):
        """A button or a link that leads to a page."""
        with self.leads_on(status):
            self.pressable(words).click()
        return self

    def types(self, label, text):
        self.box(label).fill(text)
        self.entries += 1
        return self

    def chooses(self, label, option):
        self.box(label).select_option(label=option)
        return self

    def gets(self, words):
        """Press what answers with a file; gives the file's bytes. The page stays."""
        kept = {}

        def keep(route):
            answer = route.fetch(timeout=PRINTING)
            kept["bytes"] = answer.body()
            # The browser's own viewer would show the file: another program, with pages of its own.
            route.fulfill(response=answer, headers={**answer.headers, "content-disposition": "attachment"})

        self.context.route(SERVED, keep)
        with self.page.expect_download(timeout=PRINTING):
            self.pressable(words).click(timeout=PRINTING)
        self.context.unroute(SERVED)
        return kept["bytes"]

    def pressable(self, words):
        exact = re.compile(rf"^\s*{re.escape(words)}\s*$") if isinstance(words, str) else words
        main = self.page.get_by_role("button", name=exact).or_(self.page.get_by_role("link", name=exact))
        return main.first

    def box(self, label):
        return self.page.get_by_label(re.compile(rf"^\s*{re.escape(label)}\s*(may stay empty)?\s*$")).first

    def sees(self, words):
        self.page.get_by_text(words).filter(visible=True).first.wait_for()
        return self

    def sees_no(self, words):
        assert self.page.get_by_text(words).filter(visible=True).count() == 0, f"{self.path} shows {words}"
        return self

    def can_press(self, words):
        return self.pressable(words).count() > 0

    # What a person never says aloud but minds

    @contextmanager
    def leads_on(self, status=200):
        """What is done inside leads to a page, which is looked over."""
        self._expected = f"status of {status}" if status >= 400 else None
        with self.page.expect_navigation() as answer:
            yield
        assert answer.value.status == status, f"{self.page.url} answered {answer.value.status}"
        self.looks_over()
        self._expected = None

    def looks_over(self):
        self.addresses.append(self.path)
        over = self.page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert over <= 0, f"{self.path} is {over} px wider than the screen"
        field = FIELD_TARGET if FIELD.match(self.path) else TARGET
        small = self.page.evaluate(SMALL, TARGET) + self.page.evaluate(SMALL, field)
        assert small == [], f"{self.path}: too small to press"
        if self.scripts and (kind := self.page.evaluate(KIND)) not in LOOKED_OVER:
            found = Axe().run(self.page, options={"resultTypes": ["violations"]})
            assert found.violations_count == 0, f"{self.path}: {found.generate_report()}"
            LOOKED_OVER.add(kind)


@pytest.fixture
def facts():
    return SimpleNamespace(password=PASSWORD, phone=PHONE, desk=DESK, taped_room=taped_room)
