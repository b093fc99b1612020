"""What people type about a piece of furniture."""

from django import forms
from django.utils.translation import gettext_lazy as _

from layout.furniture.models import PLACE, REACH, SIZE, USUAL_REACH
from layout.furniture.services import FIELDS
from projects.platform.forms import LengthFormField, NameFormField, VersionedForm


class PieceForm(VersionedForm):
    name = NameFormField(
        label=_("What it is"), max_length=60, help_text=_("As the client would say it: sofa, bed, island.")
    )
    round = forms.BooleanField(label=_("It is round"), required=False)
    wide = LengthFormField(
        label=_("Size, left to right"), low=SIZE[0], high=SIZE[1], help_text=_("Round: its diameter.")
    )
    deep = LengthFormField(
        label=_("Size, door to far"), low=SIZE[0], high=SIZE[1], required=False,
        help_text=_("Round: leave it empty."),
    )  # fmt: skip
    left = LengthFormField(
        label=_("From the left wall to its nearest side"), allow_zero=True, high=PLACE[1],
        help_text=_("Stand with your back to the door. From the finished wall."),
    )  # fmt: skip
    door = LengthFormField(label=_("From the door's wall to its nearest side"), allow_zero=True, high=PLACE[1])
    reach = LengthFormField(
        label=_("Marks this near are laid out for it"), allow_zero=True, high=REACH[1], initial=USUAL_REACH,
        help_text=_("From its sides. Common practice: 24 in or 600 mm."),
    )  # fmt: skip

    def clean(self):
        data = super().clean()
        if data.get("round"):
            data["deep"] = data.get("wide")
        elif data.get("deep") is None and "deep" not in self.errors:
            self.add_error("deep", _("Give its size from door to far, or tick that it is round."))
        return data

    @property
    def value(self):
        return {name: self.cleaned_data[name] for name in FIELDS}
