"""Two phones, any order of things: no entry is lost, none is applied twice, every conflict is shown with both values.

Real browsers on a running server; what comes of it is held against a plain model (tests/field/schedules.py).
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

# A phone's clock runs wrong by `shift`; of the next sendings some are sent twice, or their answers lost.
READY = """async shift => {
  const True = Date, real = window.fetch.bind(window);
  window.shift = shift;
  window.Date = class extends True {
    constructor(...given) { given.length ? super(...given) : super(True.now() + window.shift); }
    static now() { return True.now() + window.shift; }
  };
  window.line = {lose: 0, twice: 0, unlike: 0};
  window.fetch = async (address, options) => {
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
  window.queue = await import('/static/field/queue.js');
}"""


class TestPhone(Phone):
    __test__ = False

    def __init__(self, chromium, url, member):
        super().__init__(chromium, url, member)
        self.person, self.shift, self.signal, self.knew = person_ident(member), 0, True, {}
        self.goes_to("/field/")
        self.waits_for("async () => Boolean(navigator.serviceWorker.controller)")
        self.begins()

    def begins(self):
        self.page.goto(BLANK)
        self.page.evaluate(READY, self.shift)

    def enters(self, room, kind, value):
        data = {"text": value} if kind == NOTE else {"door_1": value}
        entry = {"person": self.person, "kind": kind, "room": room.pk, "base": self.knew.get(kind, 0), "data": data}
        return self.page.evaluate("entry => queue.enter(entry)", entry)

    def sends(self):
        """All that waits. Gives why not all was answered, and what still waits."""
        told = self.page.evaluate(
            """async ([person, addresses]) => {
              const {why} = await queue.send(person, addresses);
              return {why, unlike: line.unlike, waiting: (await queue.held(person)).waiting};
            }""",
            [self.person, ADDRESSES],
        )
        assert told["unlike"] == 0, "the same entry sent twice was answered in two ways"
        return told["why"] or told["waiting"]

    def dies_while_sending(self, after_ms):
        self.page.evaluate("([person, addresses]) => { queue.send(person, addresses); }", [self.person, ADDRESSES])
        self.page.wait_for_timeout(after_ms)
        self.kills_tab().opens().begins()

    def holds(self):
        return self.page.evaluate("person => queue.held(person)", self.person)


class Schedule:
    def __init__(self, seed, phones, room, settler):
        self.seed, self.phones, self.room, self.settler = seed, phones, room, settler
        self.entered, self.model = {}, Model()

    def run(self):
        for phone in self.phones:
            phone.signal, phone.knew = True, {}
        for n, what, more in steps(self.seed):
            self._step(self.phones[n], n, what, more)
        self._compare()

    def _step(self, phone, n, what, more):
        if what == "enter":
            kind, value = more
            key = phone.enters(self.room, kind, value)
            self.entered[key] = Entered(key, n, kind, value, phone.knew.get(kind, 0))
        elif what == "clock":
            phone.shift = more
            phone.page.evaluate("shift => { window.shift = shift; }", more)
        elif what == "offline":
            phone.signal = not phone.signal
            phone.context.set_offline(not phone.signal)
        elif what == "look" and phone.signal:
            phone.knew = dict(zip((NOTE, TAPED), self._stored_versions(), strict=True))
        elif what == "kill":
            phone.kills_tab().opens().begins()
        elif what in ("send", "lose the answer", "send twice"):
            set_line = {"lose the answer": "line.lose = 1", "send twice": "line.twice = 2"}.get(what)
            if set_line:
                phone.page.evaluate(set_line)
            phone.sends()
        elif what == "kill while sending":
            phone.dies_while_sending(random.Random(self.seed).choice((0, 10, 40)))
        elif what == "settle":
            self._everybody_sends()
            self._settle(random.Random(more))

    def _stored_versions(self):
        shop = self.room.shop_id
        note = SiteNote.objects.of(shop).filter(room=self.room).values_list("version", flat=True).first()
        return note or 0, MeasurementSet.objects.filter(room=self.room).count()

    def _everybody_sends(self):
        for phone in self.phones:
            phone.context.set_offline(False)
            for _try in range(5):
                if not (left := phone.sends()):
                    break
            else:
                raise AssertionError(f"seed {self.seed}: not all sent after five tries: {left}")

    def _kept(self):
        return list(EntryKept.objects.of(self.room.shop_id).filter(room=self.room).order_by("pk"))

    def _settle(self, dice):
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

    def _compare(self):
        for phone in self.phones:
            if (held := phone.holds())["looks"]:
                phone.sends()
                held = phone.holds()
            assert (held["waiting"], held["looks"], held["others"]) == ([], [], 0), f"seed {self.seed}"
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


def run_schedules(chromium, live_server, shop, job, seeds):
    people = [shop.people["crew"], shop.people["crew_lead"]]
    phones = [TestPhone(chromium, live_server.url, member) for member in people]
    rooms = Room.objects.bulk_create(Room(shop=shop, job=job, name=f"Room {n}", stage=5) for n in seeds)
    settler = Client()
    settler.force_login(shop.people["owner"].user)
    conflicts = 0
    try:
        for seed, room in zip(seeds, rooms, strict=True):
            one = Schedule(seed, phones, room, settler)
            one.run()
            conflicts += EntryKept.objects.of(shop).filter(room=room).exclude(settled_at=None).count()
        assert [told for phone in phones for told in phone.complaints] == []
    finally:
        for phone in phones:
            phone.ends()
    return conflicts


def test_two_phones_lose_nothing_and_double_nothing_in_any_order_of_things(chromium, live_server, shop, job):
    conflicts = run_schedules(chromium, live_server, shop, job, range(200))
    assert conflicts > 50, "the schedules have to come to conflicts, or nothing was tried"


@pytest.mark.long
def test_a_thousand_more_orders_of_things(chromium, live_server, shop, job):
    run_schedules(chromium, live_server, shop, job, range(1000, 2000))
