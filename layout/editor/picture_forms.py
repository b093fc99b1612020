"""Uploading a picture to trace over, and setting it to scale by two of its points and the length between them."""

from django import forms
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, feet, inches
from projects.platform.forms import LengthFormField, VersionedForm


class UploadForm(forms.Form):
    picture = forms.FileField(
        label=_("A picture of the plan"), help_text=_("PNG, JPEG or WebP, at most 10 MB."),
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg,image/webp"}),
    )  # fmt: skip


class ScaleForm(VersionedForm):
    POINTS = ("from_x", "from_y", "to_x", "to_y")

    from_x = forms.IntegerField(label=_("First point, pixels from the left"), min_value=0, max_value=4000)
    from_y = forms.IntegerField(label=_("and from the top"), min_value=0, max_value=4000)
    to_x = forms.IntegerField(label=_("Second point, pixels from the left"), min_value=0, max_value=4000)
    to_y = forms.IntegerField(label=_("and from the top"), min_value=0, max_value=4000)
    length = LengthFormField(label=_("Length between them"), low=inches(1), high=feet(300))
    at_left = LengthFormField(
        label=_("The first point stands from the left"), allow_zero=True, required=False, high=feet(300)
    )
    at_far = LengthFormField(label=_("and from the far wall"), allow_zero=True, required=False, high=feet(300))
    opacity = forms.IntegerField(
        label=_("How strong, percent"), min_value=10, max_value=100, initial=50,
        widget=forms.NumberInput(attrs={"type": "range", "min": 10, "max": 100, "step": 5}),
    )  # fmt: skip

    def __init__(self, *args, picture, **kwargs):
        super().__init__(*args, **kwargs)
        self.picture = picture

    @classmethod
    def start_from(cls, picture):
        return {name: getattr(picture, name) for name in cls.base_fields}

    def clean(self):
        data = super().clean()
        for name, most in (("x", self.picture.wide), ("y", self.picture.high)):
            for end in ("from", "to"):
                at = data.get(f"{end}_{name}")
                if at is not None and at > most:
                    self.add_error(f"{end}_{name}", _("The picture has only %s pixels this way.") % most)
        if not self.errors and (data["from_x"], data["from_y"]) == (data["to_x"], data["to_y"]):
            self.add_error("to_x", _("Both points are the same. Choose two that are far apart."))
        for name in ("at_left", "at_far"):
            data[name] = data.get(name) or ZERO
        return data
