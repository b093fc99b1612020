"""Hours on a phone with a bad signal: the same press twice is one visit, and two visits are two."""

from django.urls import reverse

from projects.platform.permissions import Role
from reports.prices.models import LoggedFeet, LoggedHours
from tests.shops import forms_of


def test_the_same_visit_pressed_twice_counts_once(as_role, room):
    crew = as_role(Role.CREW)
    address = reverse("room_hours", args=[room.pk])
    [boxes] = [boxes for action, boxes in forms_of(crew.get(address)) if "hours" in boxes]
    visit = boxes | {"hours": "4.5", "pulled_0": "120.5"}
    for _press in range(2):
        assert crew.post(address, visit).status_code == 302
    assert LoggedHours.objects.of(room.shop).count() == LoggedFeet.objects.of(room.shop).count() == 1
    crew.post(address, visit | {"who": "M. Abara"})
    assert LoggedHours.objects.of(room.shop).count() == 2, "another pair of hands is another entry"
    first = LoggedHours.objects.of(room.shop).order_by("pk").first()
    crew.post(address, {"take_back": f"hours-{first.pk}"})
    crew.post(address, visit)
    assert LoggedHours.objects.of(room.shop).filter(corrects=None).count() == 3, "taken back, it may be entered again"
