"""A crew member's phone joins one job by a code, until a day. Knows no layouts and no documents."""

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class JoiningConfig(AppConfig):
    name = "projects.joining"
    label = "joining"

    def ready(self):
        from projects.joining.models import JoinCode, Joined
        from projects.trash.purging import goes_with_job, held_by

        goes_with_job(JoinCode)
        held_by(Joined, _("people who joined it from a phone"))
