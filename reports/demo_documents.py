"""Write every document of the demo shop to a folder, as a person would print it."""

from django.utils import timezone
from django.utils.text import slugify

from projects.jobs.models import Job
from reports import papers, queries
from reports.documents.card import card_pdf
from reports.documents.head import Paper
from reports.sheets import card_sheet


def write_documents(shop, folder):
    """A card of every laid-out room on Letter and A4, and each job's schedule, takeoff, checklist and packet."""
    on = timezone.localdate()
    written = 0
    for job in Job.objects.of(shop).select_related("shop").order_by("pk"):
        laid = queries.laid_rooms(job)
        if not laid:
            continue
        place = folder / slugify(str(job))
        place.mkdir(parents=True, exist_ok=True)
        files = {}
        for one in laid:
            sheet = card_sheet(one.revision, one.room, on=on)
            for paper in Paper:
                files[f"card-{slugify(one.room.name)}-{paper.value}.pdf".lower()] = card_pdf(sheet, paper)
        for document in (
            papers.schedule(job, laid, on=on),
            papers.takeoff(job, laid, on=on),
            papers.job_checklist(job, laid, on=on),
        ):
            files[f"{document.name}.pdf"] = document.pdf()
        files["packet.pdf"] = papers.job_packet(job, laid, on=on)
        for name, content in files.items():
            (place / name).write_bytes(content)
        written += len(files)
    return written
