"""A job's papers speak of the job, and name a subwoofer a subwoofer."""

import re
from datetime import date

from layout.engine.lengths import Tape, inches
from layout.engine.marks import Kind
from projects.catalogue.tables import checklist
from reports.documents import checklist as checklist_paper
from reports.documents import schedule as schedule_paper
from reports.documents.head import Head, RoomRef
from reports.estimating.schedule import FixtureFacts, Hole, job_schedule

HEAD = Head("Shop", "7", "House", date(2026, 5, 3))


def plain(html):
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_a_jobs_checklist_speaks_of_the_job():
    said = plain(checklist_paper.body(checklist_paper.ChecklistPaper(HEAD, checklist(), {"grid": False})))
    assert "bear on this job" in said
    assert "not this job as entered" in said
    assert "this room as entered" not in said


def test_two_speakers_and_a_subwoofer_are_not_three_speakers():
    types = [
        FixtureFacts("sp", Kind.SPEAKER, "6 in speaker", inches(8)),
        FixtureFacts("sw", Kind.SUBWOOFER, "10 in subwoofer", inches(11)),
    ]
    counted = job_schedule([("Den", [Hole("SP1", "sp"), Hole("SP2", "sp"), Hole("SW1", "sw")])], types)
    said = plain(schedule_paper.body(schedule_paper.SchedulePaper(HEAD, counted, (RoomRef("Den"),), Tape())))
    assert "2 speakers · 1 subwoofer" in said
