"""Row 51: whatever people typed into whatever box, no document asks another machine or reads a file of this one."""

import io
import re

import pypdf
import pytest
from django.apps import apps
from django.db import IntegrityError, transaction

from layout.services import issue_revision
from projects.jobs.queries import room_of
from projects.platform.fields import NameField, NoteField
from projects.platform.permissions import API_ROUTES
from reports.papers_api import Pdf
from tests.api.houses import api_patterns
from tests.reports import test_pdf_fetches_nothing as fetching

canary = fetching.canary
PAPER = "application/pdf"
LEFT_OUT = {"packet_file", "client_answers"}  # a packet is made by long work; its documents are all here


def boxes():
    """Every column for what people type, by model."""
    found = {}
    for model in apps.get_models():
        names = [f.name for f in model._meta.local_fields if isinstance(f, (NameField, NoteField)) and not f.choices]
        if names:
            found[model] = names
    return found


def trapped(address):
    """So much of a trap as the shortest boxes hold, and one in long."""
    short = f'"><img src={address}/i>'
    return [f"{short}<link rel=attachment href=file:///etc/hostname><style>@import url({address}/s)</style>", short]


def fill(address):
    """Put the trap into every box there is a row for; returns how many boxes took it."""
    taken = 0
    for model, names in boxes().items():
        rows = list(model._base_manager.all()[:3])
        for row in rows:
            for name in names:
                for trap in trapped(address):
                    most = model._meta.get_field(name).max_length or len(trap)
                    if len(trap) > most:
                        continue
                    try:
                        with transaction.atomic():
                            model._base_manager.filter(pk=row.pk).update(**{name: trap})
                    except IntegrityError:
                        continue
                    taken += 1
                    break
    return taken


def papers():
    """Addresses of the API that answer with a PDF to whoever reads."""
    found = []
    for name, pattern in sorted(api_patterns().items()):
        view = getattr(pattern.callback, "cls", None)
        kinds = getattr(view, "renderer_classes", ())
        if Pdf in kinds and hasattr(view, "get") and name not in LEFT_OUT:
            found.append(name)
    return found


def test_there_are_boxes_and_papers_to_look_at():
    assert len(boxes()) > 30 and len(papers()) > 12
    assert set(papers()) <= set(API_ROUTES)


@pytest.mark.long
def test_row_51_every_text_on_every_paper_is_printed_as_it_was_typed(house, canary):
    _walk(house, canary, papers())


def test_row_51_what_people_typed_is_printed_as_it_was_typed(house, canary):
    """The papers that say most of a room and its job; the others under `long`."""
    _walk(house, canary, ["checklist", "handover", "schedule"])


def _walk(house, canary, names):
    address, asked = canary
    assert fill(address) > 40
    room = room_of(house.shop, house.room.pk)
    house.ids["number"] = issue_revision(room, by=next(iter(house.people.values()))).number
    printed, said = 0, ""
    for name in names:
        answer = house.ask().get(house.address(name), Accept=PAPER)
        assert answer.status_code < 500, (name, answer.content[:200])
        if answer.status_code != 200 or answer["Content-Type"] != PAPER:
            continue
        printed += 1
        content = b"".join(answer.streaming_content) if answer.streaming else answer.content
        read = pypdf.PdfReader(io.BytesIO(content))
        assert not read.attachments, name
        said += "".join(page.extract_text() for page in read.pages)
    assert asked == []
    assert printed > len(names) // 2
    assert re.search(r"<\s*img", said)
