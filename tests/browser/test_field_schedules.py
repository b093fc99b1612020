"""Two phones, any order of things: no entry is lost, none is applied twice, every conflict is shown with both values.

Real browsers on a running server, several rooms at once on the same phones; what comes of it is held against a plain
model (tests/field/schedules.py).
"""

import random

import pytest
from django.test import Client

from layout.engine.lengths import inches
from projects.jobs.models import MeasurementSet, Room
from reports.field.models import EntryKept, SiteNote
from reports.field.queries import person_ident
from tests.browser.phones import Phone
from tests.field.schedules import NOTE, TAPED, Entered, Model, steps

pytestmark = pytest.mark.browser
BLANK = "/field/no-signal/"  # a page that does nothing by itself; the worker has it without signal too
ADDRESSES = {"hello": "/field/hello/", "report": "/field/report/", "sync": "/field/sync/"}
AT_ONCE = 8  # rooms
SENDING = {"send": "{}", "lose the answer": "{lose: 1}", "send twice": "{twice: 2}"}

# A tab is a frame: it has its own program, transactions and lock, and is gone without a word when it is taken away, as
# a tab is, but does not cost a page. Its clock runs wrong by `shift`; of the next sendings some are sent twice, or
# their answers lost.
READY = """async ([person, addresses, shift]) => {
  window.line = {lose: 0, twice: 0, unlike: 0, shift};
  const arrange = tab => {
    const True = tab.Date, real = tab.fetch.bind(tab);
    tab.Date = class extends True {
      constructor(...given) { given.length ? super(...given) : super(True.now() + line.shift); }
      static now() { return True.now() + line.shift; }
    };
    tab.fetch = async (address, options) => {
      if (!String(address).includes('/field/sync/')) return real(address, options);
      if (line.twice > 0) {
        line.twice--;
        const [one, other] = await Promise.all([real(address, options), real(address, options)]);
        if (one.status !== other.status || (await one.clone().text()) !== (await other.clone().text())) line.unlike++;
        return other;
      }
      const answer = await real(address, options);
      if (line.lose > 0) {
        line.lose--;
        await answer.text();
        throw new TypeError('the answer was lost');
      }
      return answer;
    };
  };
  window.open_tab = async (tries = 8) => {
    window.tab?.remove();
    window.tab = document.body.appendChild(document.createElement('iframe'));
    arrange(tab.contentWindow);
    try {
      window.queue = await tab.contentWindow.eval("import('/static/field/queue.js')");
    } catch (wrong) { // no signal, and the worker did not wake in time: people open it again
      if (tries < 2) throw wrong;
      await new Promise(done => setTimeout(done, 400));
      await open_tab(tries - 1);
    }
  };
  window.sends = async () => {
    const {why} = await queue.send(person, addresses);
    const {waiting} = await queue.held(person);
    return {why, unlike: line.unlike, waiting: waiting.length};
  };
  window.dies_while_sending = async ms => {
    queue.send(person, addresses);
    await new Promise(done => setTimeout(done, ms));
    await open_tab();
  };
  window.signs_out = async () => {
    const headers = {'X-CSRFToken': document.cookie.match(/csrftoken=([^;]*)/)?.[1] ?? ''};
    const answer = await fetch('/sign-out/', {method: 'POST', headers, redirect: 'manual'});
    return {status: answer.status, text: await answer.text(), unsent: await queue.unsent(person)};
  };
  await open_tab();
}"""


IN_CHARGE = """ms => new Promise(done => {
  const late = Date.now() + ms;
  const look = () => navigator.serviceWorker.controller || Date.now() > late
    ? done(Boolean(navigator.serviceWorker.controller)) : setTimeout(look, 50);
  look();
})"""


class TestPhone(Phone):
    __test__ = False

    def __init__(self, chromium, url, member):
        super().__init__(chromium, url, member, bypass_csp=True)  # the frame's program is begun from outside
        self.person, self.shift, self.signal = person_ident(member), 0, True
        self.session = next(one for one in self.context.cookies() if one["name"] == "sessionid")
        # A worker is installed whole or not at all; the next page tries again.
        assert any(self.goes_to("/field/").page.evaluate(IN_CHARGE, 15_000) for _try in range(5))
        self.begins()

    def begins(self):
        self.page.goto(BLANK)
        self.page.evaluate(READY, [self.person, ADDRESSES, self.shift])

    def sets_clock(self, shift):
        self.shift = shift
        self.page.evaluate("shift => { line.shift = shift; }", shift)

    def sets_signal(self, signal):
        if signal != self.signal:
            self.signal = signal
            self.context.set_offline(not signal)

    def enters(self, room, kind, value, base):
        data = {"text": value} if kind == NOTE else {"door_1": value}
        entry = {"person": self.person, "kind": kind, "room": room.pk, "base": base, "data": data}
        return self.page.evaluate("entry => queue.enter(entry)", entry)

    def sends(self, line="{}"):
        """All that waits. Gives why not all was answered, and what still waits."""
        told = self.page.evaluate(f"() => (Object.assign(line, {line}), sends())")
        assert told["unlike"] == 0, "the same entry sent twice was answered in two ways"
        return told["why"] or told["waiting"]

    def loses_its_tab(self, whole):
        """whole: the browser's own tab and its process, the page from what the worker keeps. Else the frame."""
        if whole:
            self.kills_tab().opens().begins()
        else:
            self.page.evaluate("open_tab()")

    def dies_while_sending(self, after_ms):
        self.page.evaluate("ms => dies_while_sending(ms)", after_ms)

    def tries_to_sign_out(self):
        """With entries waiting it is refused with their number; with none it is not tried."""
        if self.signal and (waiting := len(self.holds()["waiting"])):
            told = self.page.evaluate("signs_out()")
            assert told["status"] == 409 and str(told["unsent"]) in told["text"] and told["unsent"] >= waiting, told

    def sends_after_its_session_ended(self):
        self.session_ends()
        assert self.sends() == ("signed out" if self.signal else "no signal")
        self.context.add_cookies([self.session])

    def holds(self):
        return self.page.evaluate("person => queue.held(person)", self.person)


class Schedule:
    """What happens to one room. `knew`: what each phone's page of the room was made with."""

    def __init__(self, seed, phones, room, settler):
        self.seed, self.phones, self.room, self.settler = seed, phones, room, settler
        self.entered, self.model, self.knew = {}, Model(), ({}, {})

    def step(self, n, what, more):
        phone, knew = self.phones[n], self.knew[n]
        if what == "enter":
            kind, value = more
            key = phone.enters(self.room, kind, value, knew.get(kind, 0))
            self.entered[key] = Entered(key, n, kind, value, knew.get(kind, 0))
        elif what == "clock":
            phone.sets_clock(more)
        elif what == "signal":
            phone.sets_signal(not phone.signal)
        elif what == "look" and phone.signal:
            knew.update(zip((NOTE, TAPED), self._stored_versions(), strict=True))
        elif what == "kill":
            phone.loses_its_tab(whole=self.seed % 20 == 0)
        elif what in SENDING:
            phone.sends(SENDING[what])
        elif what == "kill while sending":
            phone.dies_while_sending(random.Random(self.seed).choice((0, 5, 10, 20)))
        elif what == "sign out":
            phone.tries_to_sign_out()
        elif what == "session ends":
            phone.sends_after_its_session_ended()

    def _stored_versions(self):
        shop = self.room.shop_id
        note = SiteNote.objects.of(shop).filter(room=self.room).values_list("version", flat=True).first()
        return note or 0, MeasurementSet.objects.filter(room=self.room).count()

    def _kept(self):
        return list(EntryKept.objects.of(self.room.shop_id).filter(room=self.room).order_by("pk"))

    def settle(self, dice):
        """What was decided by the model is decided by people, until nothing is open."""
        kept = self._kept()
        for one in kept:
            said = self.model.arrives(self.entered[one.key])
            assert one.outcome == said, f"seed {self.seed}: {one.key} {one.data} is {one.outcome}, should be {said}"
        for one in kept:
            while one.key in self.model.open:
                shown, entry = self.model.open[one.key], self.entered[one.key]
                one.refresh_from_db()
                assert one.needs_a_look
                assert _first(one.answer["theirs"]) == _shown(entry.kind, shown.stood), f"seed {self.seed}"
                assert _first(one.answer["mine"]) == _shown(entry.kind, entry.value), f"seed {self.seed}"
                how = dice.choice(("theirs", "mine", "both") if entry.kind == NOTE else ("theirs", "mine"))
                self.settler.post(f"/field/looks/{one.pk}/settle/", {"how": how, "version": one.version})
                settled = self.model.settled(one.key, how)
                one.refresh_from_db()
                assert one.needs_a_look is not settled, f"seed {self.seed}"

    def compare(self):
        kept = self._kept()
        assert sorted(one.key for one in kept) == sorted(self.entered), f"seed {self.seed}: lost or doubled"
        for one in kept:
            entry = self.entered[one.key]
            assert one.data["text" if entry.kind == NOTE else "door_1"] == entry.value
        notes, taped = self.model.history[NOTE], self.model.history[TAPED]
        note = SiteNote.objects.of(self.room.shop_id).filter(room=self.room).first()
        assert (note.text if note else None) == (notes[-1] if notes else None), f"seed {self.seed}"
        assert self._stored_versions() == (len(notes), len(taped)), f"seed {self.seed}"
        stored = MeasurementSet.objects.filter(room=self.room).order_by("pk").values_list("readings__value", flat=True)
        assert list(stored) == [inches(value) for value in taped], f"seed {self.seed}"


def _first(values):
    return next(value for name, value in values.items() if name != "version")


def _shown(kind, value):
    """The shop writes feet and inches: 150 is 12'-6"."""
    return value if kind == NOTE else {"150": "12'-6\"", "151": "12'-7\"", "152": "12'-8\""}[value]


def everybody_sends(phones):
    for phone in phones:
        phone.sets_signal(True)
        for _try in range(5):
            if not (left := phone.sends()):
                break
        else:
            raise AssertionError(f"not all sent after five tries: {left}")


def run_at_once(schedules, phones):
    """Several rooms on the same two phones, their steps shuffled into each other; then people settle what is open."""
    seed = schedules[0].seed
    dice, rests = random.Random(seed), {one: steps(one.seed) for one in schedules}
    try:
        while rests:
            one = dice.choice(list(rests))
            if happens := next(rests[one], None):
                one.step(*happens)
            else:
                del rests[one]
        everybody_sends(phones)
        for one in schedules:
            one.settle(dice)
        everybody_sends(phones)
        for phone in phones:
            held = phone.holds()
            assert (held["waiting"], held["looks"], held["others"]) == ([], [], 0)
    except AssertionError as wrong:
        wrong.add_note(f"in the rooms of the {len(schedules)} seeds from {seed} on")
        raise
    for one in schedules:
        one.compare()


def run_schedules(chromium, live_server, shop, job, seeds):
    people = [shop.people["crew"], shop.people["crew_lead"]]
    phones = [TestPhone(chromium, live_server.url, member) for member in people]
    rooms = Room.objects.bulk_create(Room(shop=shop, job=job, name=f"Room {n}", stage=5) for n in seeds)
    settler = Client()
    settler.force_login(shop.people["owner"].user)
    schedules = [Schedule(seed, phones, room, settler) for seed, room in zip(seeds, rooms, strict=True)]
    try:
        for first in range(0, len(schedules), AT_ONCE):
            run_at_once(schedules[first : first + AT_ONCE], phones)
        assert [told for phone in phones for told in phone.complaints] == []
    finally:
        for phone in phones:
            phone.ends()
    return EntryKept.objects.of(shop).exclude(settled_at=None).count()


def test_two_phones_lose_nothing_and_double_nothing_in_any_order_of_things(chromium, live_server, shop, job):
    conflicts = run_schedules(chromium, live_server, shop, job, range(200))
    assert conflicts > 50, "the schedules have to come to conflicts, or nothing was tried"


@pytest.mark.long
def test_a_thousand_more_orders_of_things(chromium, live_server, shop, job):
    run_schedules(chromium, live_server, shop, job, range(1000, 2000))
