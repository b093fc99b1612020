"""What people type about light: a target level, a photometric file as it is uploaded or pasted, its name."""

import hashlib
from decimal import Decimal

from django import forms
from django.utils.translation import gettext_lazy as _

from projects.catalogue.models import LUX, TargetKind
from projects.catalogue.photometric import MOST_BYTES
from projects.platform.forms import NameFormField, TapeForm, VersionedForm


def _lux(label, required=False, help_text=""):
    return forms.DecimalField(
        label=label, required=required, min_value=LUX[0], max_value=LUX[1], decimal_places=1, help_text=help_text
    )


class LightTargetForm(TapeForm):
    """A level for one kind of space. What the document doesn't give stays empty."""

    space = NameFormField(label=_("Space or task"), max_length=80)
    lux = _lux(_("Level kept up, lux"), True, _("1 footcandle is 10.76 lux: 30 fc are 323 lux."))
    low_lux = _lux(_("From, lux"))
    high_lux = _lux(_("to, lux"))
    uniformity = forms.DecimalField(
        label=_("Least over average"), required=False, min_value=Decimal("0.01"), max_value=1, decimal_places=2
    )
    glare_ugr = forms.IntegerField(label=_("Glare, UGR at most"), required=False, min_value=5, max_value=40)
    color_ra = forms.IntegerField(label=_("Color, Ra at least"), required=False, min_value=1, max_value=100)
    wall_lux = _lux(_("On walls at least, lux"))
    ceiling_lux = _lux(_("On the ceiling at least, lux"))
    kind = forms.ChoiceField(
        label=_("It is"), choices=TargetKind.choices, initial=TargetKind.PRACTICE.value,
        help_text=_("A standard is named with its edition. Local code and the contract decide which one holds."),
    )  # fmt: skip
    document = forms.CharField(label=_("Document"), required=False, max_length=80)
    edition = forms.CharField(label=_("Edition"), required=False, max_length=40)
    source = forms.CharField(
        label=_("Where the numbers come from"), required=False, max_length=300,
        help_text=_("The page or sheet somebody read, or “our own practice”."),
    )  # fmt: skip
    retired = forms.BooleanField(label=_("No longer used for new rooms"), required=False)

    def clean(self):
        data = super().clean()
        low, lux, high = (data.get(name) for name in ("low_lux", "lux", "high_lux"))
        if lux is not None and low is not None and low > lux:
            self.add_error("low_lux", _("The level lies between these two. This one is over it."))
        if lux is not None and high is not None and high < lux:
            self.add_error("high_lux", _("The level lies between these two. This one is under it."))
        if data.get("kind") == TargetKind.STANDARD:
            for name in ("document", "edition"):
                if not self.errors.get(name) and not data.get(name):
                    self.add_error(name, _("A standard needs its document and edition. Fill both in."))
        return data


class ChangeTargetForm(LightTargetForm, VersionedForm):
    """A level as it was seen."""


class FileNameForm(TapeForm):
    name = NameFormField(label=_("Name"), max_length=80, help_text=_("What the crew calls it. No maker needed."))
    retired = forms.BooleanField(label=_("No longer offered for types"), required=False)


class ChangeFileForm(FileNameForm, VersionedForm):
    """A file's name as it was seen."""


class PhotometricFileForm(forms.Form):
    """A file or its text, one of them."""

    file = forms.FileField(
        label=_("Photometric file"), required=False, allow_empty_file=True,
        help_text=_("LM-63 (.ies) or EULUMDAT (.ldt), at most 2 MB. Which one is told by what is in it."),
        widget=forms.FileInput(attrs={"accept": ".ies,.ldt,.txt"}),
    )  # fmt: skip
    text = forms.CharField(
        label=_("or its text"), required=False, strip=False, max_length=MOST_BYTES,
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false"}),
    )  # fmt: skip
    name = NameFormField(
        label=_("Name"), required=False, max_length=80, help_text=_("Empty: as the file is called.")
    )
    refused = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)  # mark of a refused file's text

    def clean_file(self):
        file = self.cleaned_data["file"]
        if file is not None and file.size > MOST_BYTES:
            said = _("The file has %s MB. A photometric file has 2 MB at most.")
            raise forms.ValidationError(said % f"{file.size / 1_000_000:.1f}", code="size")
        return file

    def clean(self):
        data = super().clean()
        if self.errors:
            return data
        pasted = data["text"].strip()
        if data["file"] is not None and data["refused"] == mark_of(pasted):
            pasted = ""  # nobody typed it: the page put it there when an earlier file was refused
        if data["file"] is None and not pasted:
            self.add_error("file", _("Choose a file, or paste its text below."))
        elif data["file"] is not None and pasted:
            self.add_error("text", _("A file was chosen as well. Empty this box, or choose no file."))
        return data


def mark_of(text: str) -> str:
    """What a text is known by, however its lines end."""
    return hashlib.sha256("\n".join(text.split()).encode()).hexdigest()


class PhotometricTextForm(forms.Form):
    """The same over the API: the text itself."""

    text = forms.CharField(label=_("The file's text"), strip=False, max_length=MOST_BYTES)
    name = NameFormField(label=_("Name"), required=False, max_length=80)
    file_name = forms.CharField(label=_("What the file is called"), required=False, max_length=400)
