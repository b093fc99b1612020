"""Write every document of the demo shop to a folder, as a person would print it."""

from django.utils import timezone
from django.utils.text import slugify

from layout.light.models import LightSetup
from layout.light.queries import light_of
from projects.catalogue.targets import target_of
from projects.jobs.models import Job
from projects.jobs.queries import room_of
from reports import light_papers, papers, queries
from reports.bids import papers as bid_papers
from reports.bids.contents import kept as kept_bid
from reports.bids.models import BidRevision
from reports.cables import papers as cable_papers
from reports.cables.gather import job_cables, reel_plans, without_costs
from reports.cables.words import Words
from reports.changes.contents import kept as kept_change
from reports.changes.models import ChangeOrder
from reports.changes.paper import change_pdf
from reports.close_out import made
from reports.documents import card
from reports.documents.head import Paper
from reports.sheets import card_sheet
from reports.takeoffs.rules import rules_of


def write_documents(shop, folder):
    """Each job's papers: cards on Letter and A4, schedule, takeoff, checklist, packet, cables, bids, change orders."""
    on = timezone.localdate()
    written = 0
    for job in Job.objects.of(shop).select_related("shop").order_by("pk"):
        laid = queries.laid_rooms(job)
        if not laid:
            continue
        place = folder / slugify(str(job))
        place.mkdir(parents=True, exist_ok=True)
        files, cards = {}, []
        for one in laid:
            sheet = card_sheet(one.revision, one.room, on=on)
            for paper in Paper:
                laid_out = card.laid_out(sheet, paper)
                files[f"card-{slugify(one.room.name)}-{paper.value}.pdf".lower()] = card.written(sheet, laid_out, paper)
                if paper is Paper.LETTER:
                    cards.append(laid_out)  # set once, for its own file and for the packet
        for document in (
            papers.schedule(job, laid, on=on),
            papers.job_takeoff(job, on=on),
            papers.job_checklist(job, laid, on=on),
            *_of_cables(job, on),
        ):
            files[f"{document.name}.pdf"] = document.pdf()
        files |= dict(_of_money(job, on))
        files |= dict(_of_light(job, on))
        files["packet.pdf"] = made.job_packet(job, laid, on=on, cards=cards)
        for name, content in files.items():
            (place / name).write_bytes(content)
        written += len(files)
    return written


def _of_cables(job, on):
    found, words = job_cables(job), Words(job.tape, rules_of(job.shop))
    yield cable_papers.cable_schedule(found, words, on=on)
    yield cable_papers.pull_list(found, without_costs(reel_plans(found)), words, on=on)


def _of_light(job, on):
    """The light report of each room that somebody has set up the light of."""
    for setup in LightSetup.objects.of(job.shop_id).filter(room__job=job).order_by("pk"):
        room = room_of(job.shop, setup.room_id)
        light = light_of(room)
        row = target_of(job.shop, setup.target_key) if setup.target_key else None
        yield f"light-{slugify(room.name)}.pdf", light_papers.light_report(light, row, on=on).pdf()


def _of_money(job, on):
    """What was sent: to clients, and the estimator's own sheet of it."""
    sent = BidRevision.objects.of(job.shop_id).filter(bid__job=job).exclude(contents="").select_related("bid", "shop")
    for revision in sent:
        for make in (bid_papers.proposal, bid_papers.estimate_sheet):
            document = make(revision, kept_bid(revision), on=on)
            yield f"bid-{slugify(revision.bid.number)}-{revision.letter}-{document.name}.pdf".lower(), document.pdf()
    for change in ChangeOrder.objects.of(job.shop_id).filter(job=job).exclude(contents=""):
        yield f"change-order-{change.number}.pdf", change_pdf(change, kept_change(change), Paper.LETTER)
