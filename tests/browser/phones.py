"""A phone in somebody's pocket: its own browser storage, its own signal, its own clock. Tabs come and go."""

import re

from django.test import Client
from playwright.sync_api import expect

PHONE = {"width": 320, "height": 640}
# What a browser says by itself of a request that found no signal, or of an answer that is no 200; both are expected.
EXPECTED = re.compile(r"ERR_INTERNET_DISCONNECTED|ERR_FAILED|ERR_ABORTED|status of (409|410|412|422)|Failed to fetch")


class Phone:
    def __init__(self, chromium, url, member=None, **options):
        self.url = url
        self.context = chromium.new_context(
            viewport=PHONE, base_url=url, reduced_motion="reduce", has_touch=True, **options
        )
        self.context.set_default_timeout(60_000)
        self.complaints = []
        if member:
            self.signs_in(member)
        self.page = None
        self.opens()

    def signs_in(self, member):
        client = Client()
        client.force_login(member.user)
        self.context.add_cookies([{"name": "sessionid", "value": client.cookies["sessionid"].value, "url": self.url}])

    def session_ends(self):
        self.context.clear_cookies(name="sessionid")

    def opens(self, path=None):
        """A new tab."""
        self.page = self.context.new_page()
        self.page.on("console", self._hears)
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        if path:
            self.page.goto(path)
        return self

    def kills_tab(self):
        """No word to the page: as when the phone takes the memory away."""
        self.page.close(run_before_unload=False)
        return self

    def _hears(self, message):
        if message.type in ("error", "warning") and not EXPECTED.search(message.text):
            self.complaints.append(message.text)

    def loses_signal(self):
        self.context.set_offline(True)
        return self

    def finds_signal(self):
        self.context.set_offline(False)
        return self

    def goes_to(self, path):
        self.page.goto(path)
        return self

    def presses(self, words):
        exact = re.compile(rf"^\s*{re.escape(words)}")
        self.page.get_by_role("button", name=exact).or_(self.page.get_by_role("link", name=exact)).first.click()
        return self

    def types(self, label, text):
        self.page.get_by_label(label).first.fill(text)
        return self

    def sees(self, words):
        self.page.get_by_text(words).filter(visible=True).first.wait_for()
        return self

    def sees_no(self, words):
        assert self.page.get_by_text(words).filter(visible=True).count() == 0, f"{self.page.url} shows {words}"
        return self

    def sees_go(self, words):
        """It stands on the page no more, at once or as soon as the page has heard so."""
        expect(self.page.get_by_text(words).filter(visible=True)).to_have_count(0)
        return self

    def keeps_the_day(self, *paths):
        """Today's rooms, with signal, until this phone's worker holds these pages."""
        self.goes_to("/field/")
        self.waits_for(
            """async paths => {
              const names = (await caches.keys()).filter(name => name.startsWith('person-'));
              if (!names.length || !navigator.serviceWorker.controller) return false;
              const shelf = await caches.open(names[0]);
              for (const path of paths) if (!(await shelf.match(path))) return false;
              return true;
            }""",
            ["/field/", *paths],
        )
        return self

    def waits_for(self, true, arg=None):
        """Until this asynchronous question is answered with yes."""
        for _try in range(600):
            if self.page.evaluate(true, arg):
                return self
            self.page.wait_for_timeout(100)
        raise AssertionError(f"never came true: {true}")

    def shelves(self):
        """What is kept: the addresses on every shelf of a person."""
        return self.page.evaluate(
            """async () => {
              const all = {};
              for (const name of await caches.keys()) {
                if (!name.startsWith('shell-')) {
                  all[name] = (await (await caches.open(name)).keys()).map(one => new URL(one.url).pathname);
                }
              }
              return all;
            }"""
        )

    def queue(self):
        return self.page.evaluate(
            """() => new Promise((done, fail) => {
              const asked = indexedDB.open('ceilingbook-field');
              asked.onerror = () => fail(asked.error);
              asked.onupgradeneeded = () => { asked.transaction.abort(); done([]); };
              asked.onsuccess = () => {
                const all = asked.result.transaction('queue').objectStore('queue').getAll();
                all.onsuccess = () => { asked.result.close(); done(all.result.map(({file, ...one}) => one)); };
              };
            })"""
        )

    def waiting(self):
        return [one for one in self.queue() if one["state"] == "waiting"]

    def ends(self):
        self.context.close()
