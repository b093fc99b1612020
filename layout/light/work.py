"""Working out the light of a large room as long work, kept under the digest of what it was worked out from."""

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from layout.engine.light.solve import solve
from layout.engine.light.values import LightError
from layout.light.kept import packed
from layout.light.models import KeptLight
from layout.light.queries import KIND, light_of
from projects.jobs.queries import room_of
from projects.work import services
from projects.work.kinds import kind
from projects.work.running import WorkFailed


def _page(work):
    return reverse("light", args=[work.asked_for["room_id"]])


@kind(KIND, may="read rooms", where=_page)
def work_out(work, progress):
    """Begun again, it is worked out over; done before under the same digest, it is left as it is."""
    light = light_of(room_of(work.shop, work.asked_for["room_id"]))
    if light.solved is not None:
        return {"lights": len(light.made.scene.lights)}
    if light.made is None:
        raise WorkFailed(light.refused or " ".join(f"{one.words} {one.remedy}" for one in light.missing))
    try:
        solved = solve(light.made.scene, progress=progress.at)
    except LightError as refused:
        raise WorkFailed(str(refused)) from refused
    KeptLight.objects.of(work.shop_id).update_or_create(
        room=light.room,
        defaults={
            "shop_id": light.room.shop_id, "digest": light.made.digest, "at": timezone.now(),
            "grids": packed(solved, light.made.faces),
        },
    )  # fmt: skip
    return {"lights": len(light.made.scene.lights)}


def start(room, by):
    """Put it in the queue; what is there already is given back."""
    title = _("Light of %(room)s") % {"room": room.name}
    return services.start(room.shop, KIND, {"room_id": room.pk}, by, title=title)
