"""Pages of reels: what to buy and open, what to pull, the marks on the jacket. Door, form, service, answer."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.jobs.queries import job_of
from projects.platform.permissions import may
from projects.platform.tenancy import StaleVersion
from reports.cables import papers
from reports.cables.gather import job_cables, reel_plans, without_costs
from reports.cables.web import job_document
from reports.cables.words import Words
from reports.estimating.cable_schedule import fitting
from reports.takeoffs.rules import rules_of
from reports.web import as_issued
from reports.wiring import services
from reports.wiring.forms import PullForm, ReelForm
from reports.wiring.models import MarksIn
from reports.wiring.queries import page_of_pulls, page_of_reels, pull_of, reel_of, reels_of

MOST_OFFERED = 6  # next runs named after a pull


@as_issued
def reel_plan(request, job_id):
    """Which packs to buy and which runs come off which reel. Costs for those who may see them."""
    job = job_of(request.shop, job_id)
    found = job_cables(job, request.GET.get("page"))
    plans, costs = reel_plans(found), may(request.member, "see prices")
    if not costs:
        plans = without_costs(plans)
    words = Words(job.tape, rules_of(request.shop))
    return job_document(
        request, job, found, papers.reel_plan(found, plans, words, on=timezone.localdate(), costs=costs)
    )


@as_issued
def pull_list(request, job_id):
    """The list for the crew, and the boxes for the marks on the jacket."""
    job = job_of(request.shop, job_id)
    found = job_cables(job, request.GET.get("page"))
    words = Words(job.tape, rules_of(request.shop))
    form = _pull_form(request, found, words)
    if request.method == "POST" and form.is_valid():
        answer = _pulled(request, job, found, form, words)
        if answer:
            return answer
    document = papers.pull_list(found, without_costs(reel_plans(found)), words, on=timezone.localdate())
    answer = job_document(request, job, found, document, template="wiring/pull_page.html", form=form)
    if form.errors:
        answer.status_code = 422
    return answer


def _pull_form(request, found, words):
    reels = [
        (reel.pk, _("%(name)s: %(cable)s, %(left)s left") % {
            "name": reel.name, "cable": words.name(reel.cable), "left": services.in_marks(reel, reel.left),
        })
        for reel in reels_of(request.shop).filter(left__gt=0)
    ]  # fmt: skip
    runs = [("", "—")] + [
        (cable.id, f"{cable.id}: {cable.run.from_id} – {cable.run.to_id}, {words.whole(cable.piece)}")
        for cable in found.to_pull
    ]
    start = {"run": request.GET.get("run", ""), "reel": request.GET.get("reel", "")}
    if start["reel"].isdecimal() and len(start["reel"]) < 19:
        mark = next((reel.mark for reel in reels_of(request.shop).filter(pk=int(start["reel"]))), None)
        start["start_mark"] = mark
    return PullForm(request.POST or None, reels=reels, runs=runs, tape=found.job.tape, initial=start)


def _pulled(request, job, found, form, words):
    """Keeps the pull; None with the form's errors when it is refused or asked about."""
    data = form.cleaned_data
    reel = reel_of(request.shop, int(data["reel"]))
    cable = next(cable for cable in found.to_pull if cable.id == data["run"])
    if cable.run.cable != reel.cable:
        form.add_error(
            "reel",
            _("%(reel)s holds %(has)s and this run takes %(takes)s. Choose another reel or another run.")
            % {"reel": reel.name, "has": words.name(reel.cable), "takes": words.name(cable.run.cable)},
        )
        return None
    room = job.rooms.get(pk=cable.room.room_id)
    try:
        pulled = services.pull(
            reel, data["start_mark"], data["end_mark"],
            room=room, key=cable.run.key, computed=cable.whole_length,
            sure=data["sure"], note=data["note"], by=request.member,
        )  # fmt: skip
    except services.NotPulled as refused:
        form.add_error(refused.field, str(refused))
        return None
    messages.success(request, _told(pulled, reel, cable, found, words))
    return redirect("pull_list", job.pk)


def _told(pulled, reel, cable, found, words):
    """What was used, what is left, and the next runs that come off it."""
    said = _("%(run)s took %(used)s. Left on %(reel)s: %(left)s.") % {
        "run": cable.id,
        "used": services.in_marks(reel, pulled.used),
        "reel": reel.name,
        "left": services.in_marks(reel, pulled.left_after),
    }
    others = [each for each in found.to_pull if each.run.cable == reel.cable and each.key != cable.key]
    nexts = ", ".join(
        f"{each.id} ({words.whole(each.piece)})" for each in fitting(others, pulled.left_after)[:MOST_OFFERED]
    )
    if nexts:
        return said + " " + _("Next that fit, the longest first: %s.") % nexts
    return said + " " + _("No run that is left comes off it.")


def reels(request):
    """Opened reels of the shop, and the boxes for one more."""
    rules = rules_of(request.shop)
    cables = [(key, cable.name) for key, cable in rules.cables.items()]
    start = {"marks_in": MarksIn.usual(request.shop.tape).value}
    form = ReelForm(request.POST or None, tape=request.shop.tape, cables=cables, initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            reel = services.open_reel(request.shop, **form.cleaned_data)
        except services.ReelNameTaken as taken:
            form.add_error("name", str(taken))
        else:
            messages.success(request, _("%s is in stock.") % reel.name)
            return redirect("reels")
    page = page_of_reels(request.shop, request.GET.get("page"))
    names = dict(cables)
    rows = [
        (
            reel,
            names.get(reel.cable, reel.cable),
            services.in_marks(reel, reel.left),
            services.in_marks(reel, reel.full),
        )
        for reel in page
    ]
    context = {"form": form, "page": page, "rows": rows}
    return render(request, "wiring/reels.html", context, status=422 if form.errors else 200)


def reel(request, reel_id):
    """One reel and what was pulled off it; a pull entered wrongly is taken back here."""
    record = reel_of(request.shop, reel_id)
    if request.method == "POST":
        return _change_reel(request, record)
    page = page_of_pulls(record, request.GET.get("page"))
    rows = [(pull, services.in_marks(record, pull.used), services.in_marks(record, pull.left_after)) for pull in page]
    name = rules_of(request.shop).cables.get(record.cable)
    context = {
        "reel": record,
        "cable": name.name if name else record.cable,
        "left": services.in_marks(record, record.left),
        "full": services.in_marks(record, record.full),
        "page": page,
        "rows": rows,
    }
    return render(request, "wiring/reel.html", context)


def _change_reel(request, record):
    asked, seen = request.POST.get("take_back", ""), request.POST.get("version", "")
    try:
        if asked.isdecimal() and len(asked) < 19:
            services.take_back(pull_of(record, int(asked)), by=request.member)
            messages.success(request, _("Taken back: the cable is on the reel again. Both lines stay in the list."))
        elif "empty" in request.POST and seen.isdecimal() and len(seen) < 10:
            services.empty(record, seen_version=int(seen))
            messages.success(request, _("Nothing is left on it now."))
        else:
            messages.error(request, _("Nothing was changed: open the page anew, then press it there."))
    except (services.NotPulled, StaleVersion) as refused:
        messages.error(request, str(refused))
    return redirect("reel", record.pk)
