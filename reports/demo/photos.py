"""The demo's photos, punch list, labels and warranties. The photos are drawn: what they show is written on them."""

import io
import json
from datetime import timedelta

from django.utils import timezone
from PIL import Image, ImageDraw, ImageFont

from projects.catalogue import labels
from projects.catalogue.models import FixtureType
from projects.catalogue.tables import FOLDER
from projects.files.pdfs import Pdf
from projects.jobs.models import Job, Room
from projects.photos import services
from projects.photos.models import PunchItem
from projects.photos.queries import sets_of
from reports.close_out.services import warrant

SIZE = 480, 360
SHEET = 1240, 1754  # A4 at 150 to the inch


def enter_photos(shop, told):
    """told: the scenario, with its people. The rooms are laid out by then."""
    data = json.loads((FOLDER / "demo_photos.json").read_text(encoding="utf-8"))
    crew, lead = told.people["crew"], told.people["lead"]
    for entry in data["whole"]:
        _whole_sets(_room(shop, entry), crew)
    for entry in data["shots"]:
        about = {name: entry[name] for name in ("purpose", "mark", "caption")}
        _take(_room(shop, entry), crew, entry["days"], **about)
    for entry in data["punch"]:
        _punch(_room(shop, entry), entry, crew)
    for entry in data["labels"]:
        record = FixtureType.objects.of(shop).get(key=entry.pop("type"))
        read = {"label_read_by": lead.user.name, "label_read_on": timezone.localdate() - timedelta(50)}
        labels.say_label(record, record.version, entry | read)
    for entry in data["sheets"]:
        record = FixtureType.objects.of(shop).get(key=entry["type"])
        labels.add_sheet(record, _sheet(entry["lines"]), lead, title=entry["title"])
    for entry in data["warranties"]:
        job, starts = Job.objects.of(shop).get(number=entry["job"]), timezone.localdate() - timedelta(entry["days"])
        warrant(job, told.people["estimator"], what=entry["what"], starts_on=starts, months=entry["months"])


def _room(shop, entry):
    return Room.objects.of(shop).select_related("job", "shop").get(job__number=entry["job"], name=entry["room"])


def _whole_sets(room, by):
    for one in sets_of([room])[room.pk]:
        for place in range(one.need):
            bay = place + 1 if one.asked.per == "bay" else None
            days = 14 if one.asked.stage == "drywall" else 40
            _take(room, by, days, purpose=one.asked.purpose, bay=bay)


def _take(room, by, days, **about):
    taken_at = timezone.now() - timedelta(days)
    said = [room.name, about["purpose"], f"bay {about['bay']}" if about.get("bay") else about.get("caption", "")]
    return services.keep_pixels(room, _drawn(said), by=by, taken_at=taken_at, **about)


def _punch(room, entry, by):
    item = services.find(room, by, words=entry["words"], mark=entry["mark"])
    if entry["done"]:
        services.close_with(item, by, pixels=_drawn([room.name, entry["words"], "done"]))
    PunchItem.objects.of(room.shop_id).filter(pk=item.pk).update(found_at=timezone.now() - timedelta(entry["days"]))


def _drawn(words):
    """Joists overhead with a tape across them, in grays, and what a photo would show in words."""
    picture = Image.new("RGB", SIZE, "#d8d4cc")
    pen, (wide, high) = ImageDraw.Draw(picture), SIZE
    for left in range(40, wide, 110):
        pen.rectangle([left, 0, left + 24, high], fill="#a79f90", outline="#5d574c")
    pen.rectangle([0, high - 70, wide, high - 50], fill="#f4f0e4", outline="#333333")
    for mark in range(0, wide, 12):
        pen.line([mark, high - 70, mark, high - (58 if mark % 48 else 52)], fill="#333333")
    for line, text in enumerate(words):
        pen.text((14, 14 + 30 * line), text, fill="#111111", font=ImageFont.load_default(22))
    return picture


def _sheet(lines):
    page = Image.new("L", SHEET, 255)
    pen = ImageDraw.Draw(page)
    for number, text in enumerate(lines):
        pen.text((90, 120 + 70 * number), text, fill=0, font=ImageFont.load_default(34))
    written = io.BytesIO()
    page.save(written, "PDF", resolution=150)
    return Pdf(written.getvalue(), 1)
