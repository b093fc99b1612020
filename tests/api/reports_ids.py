"""What a house has that the addresses of reports ask for, by the names that stand in the addresses."""

from layout.as_built.queries import marks_of
from projects.files import store
from projects.platform.permissions import Role
from reports.changes.models import TypedLine
from reports.figures.registry import FIGURES
from reports.wiring.models import Reel
from tests.factories import (
    ApprovalLinkFactory,
    BilledFactory,
    ClientAnswerFactory,
    CorrectionFactory,
    CrewDayFactory,
    ExtraPhotoFactory,
    MovementFactory,
    OrderFactory,
    PhoneFactory,
    PickLineFactory,
    PriceImportFactory,
    PullFactory,
    SavedViewFactory,
    WarrantyFactory,
    packet_on_file,
)


def ids_of_reports(house):
    owner = house.people[Role.OWNER]
    correction = CorrectionFactory(result__room=house.room, result__visit__job=house.job)
    link = ApprovalLinkFactory(revision=house.revision)
    answer = ClientAnswerFactory(link=link, says="yes", name="J. Park")
    photo = ExtraPhotoFactory(extra_id=house.ids["extra_id"])
    store.put(house.shop.pk, {photo.file: b"pixels"})
    pulled = PullFactory(reel_id=house.ids["reel_id"], room=house.room, shop=house.shop)
    Reel.objects.of(house.shop).filter(pk=pulled.reel_id).update(left=pulled.left_after)
    return {
        "sheet_form": "csv",
        "figure_name": next(iter(FIGURES)),
        "pull_id": pulled.pk,
        "phone_id": PhoneFactory(member=house.people[Role.CREW]).pk,
        "photo_id": photo.pk,
        "import_id": PriceImportFactory(shop=house.shop).pk,
        "typed_line_id": TypedLine.objects.get(change=house.ids["change_id"]).pk,
        "correction_id": correction.pk,
        "visit_id": correction.result.visit_id,
        "approval_id": link.pk,
        "answer_id": answer.pk,
        "packet_id": packet_on_file(house.job).pk,
        "warranty_id": WarrantyFactory(job=house.job).pk,
        "day_id": CrewDayFactory(room=house.room, member=house.people[Role.CREW]).pk,
        "view_id": SavedViewFactory(member=owner, shared=True).pk,
        "rule_key": "waits",
        "billed_id": BilledFactory(job=house.job).pk,
        "order_number": OrderFactory(job=house.job).number,
        "movement_id": MovementFactory(job=house.job).pk,
        "pick_number": PickLineFactory(pick_list__room=house.room).pick_list.number,
        "mark": marks_of(house.room).marks[0].ident,
    }
