"""Pages of a room's wiring and a job's cables: door, form, service, answer. No route and no sum is worked out here."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _

from projects.catalogue.tables import label_sheets
from projects.jobs.queries import job_of, room_of
from projects.platform.tenancy import StaleVersion
from reports.cables import papers
from reports.cables.gather import Waiting, holes_of, job_cables, length_of, room_cables
from reports.cables.labels import labels_pdf
from reports.cables.routes import legend_of, room_plan
from reports.cables.sheet import cables_csv
from reports.cables.words import Words, notes_in_words
from reports.documents.head import PAPERS
from reports.documents.pdf import CannotPrint
from reports.documents.takeoff import missing_in_words
from reports.takeoffs.rules import rules_of
from reports.web import as_file, as_issued
from reports.wiring import services
from reports.wiring.forms import HandRunForm
from reports.wiring.models import HandRun
from reports.wiring.queries import hand_runs_of

NO_LAYOUT = "wiring/no_layout.html"


# One room


def newest_revision(room):
    return room.revisions.prefetch_related("marks__fixture_type").order_by("-number").first()


@as_issued
def room_wiring(request, room_id):
    """The routes on the plan, every run opening to its parts, and runs set by hand."""
    room = room_of(request.shop, room_id)
    revision = newest_revision(room)
    if revision is None:
        return render(request, NO_LAYOUT, {"room": room})
    if "put_back" in request.POST:
        return _put_back(request, room)
    found = room_cables(room, revision)
    by_number = found.settable
    by_hand = {record.key: record for record in hand_runs_of(room)}
    if request.method == "POST":
        form, answer = _set_by_hand(request, room, by_number, by_hand)
        if answer:
            return answer
    else:
        form = _hand_form(request.GET.get("run"), room, by_number, by_hand)
    return _room_page(request, room, revision, found, by_hand, form)


def _runs(by_number):
    return [
        (number, _("%s: not counted yet") % number if isinstance(cable, Waiting) else _ends_of(number, cable.run))
        for number, cable in by_number.items()
    ]


def _ends_of(number, run):
    return f"{number}: {run.from_id} – {run.to_id}"


def _hand_form(number, room, by_number, by_hand):
    """The boxes for one run, filled with what was set before when that run was asked for."""
    cable = by_number.get(number)
    start = {"run": cable.id} if cable else {}
    known = by_hand.get(cable.run.key) if cable else None
    if known:
        start |= {
            "seen": known.version,
            "length": known.length,
            "why": known.why,
            "bends": papers.bends_as_typed(known.way, room.job.tape, cable.run.from_id != known.low_id),
        }
    return HandRunForm(initial=start, tape=room.job.tape, runs=_runs(by_number))


def _set_by_hand(request, room, by_number, by_hand):
    form = HandRunForm(request.POST, tape=room.job.tape, runs=_runs(by_number))
    if not form.is_valid():
        return form, None
    data = form.cleaned_data
    cable = by_number.get(data["run"])
    if cable is None:
        form.add_error("run", _("This run is not there now. Choose one of the list."))
        return form, None
    if isinstance(cable, Waiting) and data["length"] is None:
        form.add_error("length", _("Give its length: nothing is computed for this run that a way could go with."))
        return form, None
    way = papers.turned(data["bends"], cable.run.from_id != cable.run.key[1])
    try:
        services.set_run(
            room, cable.run.key, data["seen"], length=data["length"], way=way, why=data["why"], by=request.member
        )
    except StaleVersion as stale:
        form.data = form.data.copy()
        form.data["seen"] = stale.theirs.version
        theirs = papers.said_of_hand_run(stale.theirs, room.job.tape)
        form.add_error(None, _("Set by someone else meanwhile: %s. Save again to go over it.") % theirs)
        return form, None
    messages.success(request, _("%(run)s is set by hand. The computed run stays beside it.") % {"run": cable.id})
    return form, redirect("room_wiring", room.pk)


def _put_back(request, room):
    asked = request.POST["put_back"]
    number = int(asked) if asked.isdecimal() and len(asked) < 19 else 0
    found = HandRun.objects.of(request.shop).filter(room=room, pk=number).first()
    gone = services.put_back(room, found.key) if found else None
    if gone is None:
        messages.error(request, _("This run was not set by hand any more."))
    else:
        said = papers.said_of_hand_run(gone, room.job.tape)
        messages.success(request, _("The computed run counts again. Set before: %s.") % said)
    return redirect("room_wiring", room.pk)


def _room_page(request, room, revision, found, by_hand, form):
    words = Words(room.job.tape, rules_of(request.shop))
    total, set_by_hand = length_of(found.cables)
    svg, routes, framed = room_plan(room, revision, found)
    rows = [
        (words.row(cable, found.losses.get(cable.run.key), found.pulled.get(cable.key)), by_hand.get(cable.run.key))
        for cable in found.cables
    ]
    matched = {cable.run.key for cable in found.cables}
    context = {
        "room": room,
        "revision": revision,
        "svg": mark_safe(svg),
        "legend": [(mark_safe(line), said) for line, said in legend_of(routes)],
        "rows": rows,
        "form": form,
        "asked": "run" in request.GET or bool(form.errors),
        "total": words.long(total),
        "by_hand": words.long(set_by_hand) if set_by_hand else "",
        "holes": holes_of(found.cables),
        "missing": [missing_in_words(each) for each in found.wiring.missing],
        "gone": [
            (record, papers.said_of_hand_run(record, room.job.tape))
            for key, record in by_hand.items()
            if key not in matched
        ],
        "orders": [papers.order_in_words(each, words) for each in found.wiring.ordered],
        "notes": notes_in_words(found.cables),
        "boxes": [box for box in found.wiring.boxes if box.counted],
        "offered": ", ".join(box.light for box in found.wiring.boxes if not box.counted),
        "framed": framed,
        "unloaded": ", ".join(found.unloaded),
        "lossy": any(found.losses.values()),
    }
    return render(request, "wiring/room.html", context, status=422 if form.errors else 200)


# A job


def _job(request, job_id):
    job = job_of(request.shop, job_id)
    return job, job_cables(job, request.GET.get("page"))


@as_issued
def job_cables_page(request, job_id):
    """The cable schedule: page, paper or CSV."""
    job, found = _job(request, job_id)
    words = Words(job.tape, rules_of(request.shop))
    if request.GET.get("as") == "csv":
        return as_file(cables_csv(found, words), "text/csv; charset=utf-8", f"{job.number} cables")
    document = papers.cable_schedule(found, words, on=timezone.localdate())
    return job_document(request, job, found, document)


def job_document(request, job, found, document, *, template="wiring/job_document.html", **extra):
    paper = PAPERS.get(request.GET.get("paper"))
    if paper:
        try:
            return as_file(document.pdf(paper), "application/pdf", f"{job.number} {document.name}")
        except CannotPrint as refused:
            messages.error(request, str(refused))
            return redirect(request.path)
    context = {"job": job, "found": found, "page": found.page, "document": document, "body": mark_safe(document.body)}
    return render(request, template, context | extra)


@as_issued
def cable_labels(request, job_id):
    """Both ends' labels: which sheet, from which label on; as PDF when a sheet is chosen."""
    job, found = _job(request, job_id)
    sheets = label_sheets()
    sheet = sheets.get(request.GET.get("sheet", ""))
    first = request.GET.get("first", "1")
    context = {"job": job, "found": found, "page": found.page, "sheets": sheets.values(), "chosen": sheet}
    context["labels"] = 2 * len(found.cables)
    if sheet is None:
        return render(request, "wiring/labels.html", context)
    if not (first.isdecimal() and len(first) < 5 and 1 <= int(first) <= sheet.columns * sheet.rows):
        most = sheet.columns * sheet.rows
        messages.error(request, _("First free label: a number from 1 to %(most)s on this sheet.") % {"most": most})
        return render(request, "wiring/labels.html", context, status=422)
    if not found.cables:
        messages.error(request, _("There is no cable to label yet: lay out a room and place its switch and panel."))
        return render(request, "wiring/labels.html", context)
    words = Words(job.tape, rules_of(request.shop))
    ends = [end for cable in found.cables for end in words.ends(cable)]
    title, on = _("Cable labels, %s") % job, timezone.localdate()
    try:
        content = labels_pdf(ends, sheet, first=int(first), title=title, identifier=f"{title} {sheet.key} {on}", on=on)
    except CannotPrint as refused:
        messages.error(request, str(refused))
        return redirect("cable_labels", job.pk)
    return as_file(content, "application/pdf", f"{job.number} cable labels")
