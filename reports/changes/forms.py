"""What is typed about changes and field extras, and its rules. Knows no states and no sums."""

from decimal import Decimal

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from projects.platform.forms import NameFormField, NoteFormField, VersionedForm
from reports.changes import ink, photos
from reports.changes.models import MOST_DAYS, MOST_LINE_HOURS, MOST_MATERIAL
from reports.changes.rules import usual_terms
from reports.estimating.change_terms import MOST_HOURS, MOST_PATCH, MOST_TIMES, Goods

NEEDED = {"required": _("This is needed. Fill it in.")}


def name_box(label, length, *, required=True, **more):
    return NameFormField(label=label, max_length=length, required=required, error_messages=NEEDED, **more)


def number_box(label, low, high, places, **more):
    return forms.DecimalField(
        label=label, min_value=Decimal(low), max_value=Decimal(high), decimal_places=places, max_digits=14,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}), **more,
    )  # fmt: skip


class DayBox(forms.DateField):
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")

    def clean(self, value):
        day = super().clean(value)
        if day and not 2000 <= day.year <= timezone.localdate().year + 1:
            raise forms.ValidationError(_("That day is too far off. Check the year."), code="year")
        return day


class NewChangeForm(forms.Form):
    title = name_box(_("What changes"), 200)
    reason = NoteFormField(label=_("Why"), max_length=1000, required=False)
    asked_by = name_box(_("Asked by"), 120, required=False)


class ChangeForm(VersionedForm):
    title = name_box(_("What changes"), 200)
    reason = NoteFormField(label=_("Why"), max_length=1000, required=False)
    asked_by = name_box(_("Asked by"), 120, required=False)
    days = number_box(
        _("Days added"), 0, MOST_DAYS, 1, required=False, help_text=_("Empty: as worked out from the hours.")
    )


class LineForm(forms.Form):
    words = name_box(_("What"), 200)
    room = forms.ModelChoiceField(None, label=_("Room"), required=False, empty_label=_("whole job"))
    hours = number_box(_("Hours"), 0, MOST_LINE_HOURS, 2, required=False)
    material = number_box(_("Material, at cost"), 0, MOST_MATERIAL, 2, required=False)
    taxable = forms.BooleanField(label=_("Material is taxed"), required=False, initial=True)

    def __init__(self, *args, rooms, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["room"].queryset = rooms

    def clean(self):
        given = super().clean()
        if not self.errors and not given.get("hours") and not given.get("material"):
            raise forms.ValidationError(_("Give hours, material, or both."))
        return {**given, "hours": given.get("hours") or 0, "material": given.get("material") or 0}


class GoodsForm(forms.Form):
    room_id = forms.IntegerField(min_value=1, max_value=2**62)
    key = forms.CharField(max_length=100)
    goods = forms.ChoiceField(choices=[(goods.value, goods.value) for goods in Goods])


class SignForm(forms.Form):
    """A name, a day, and what was drawn; the drawing may be missing where there is no script."""

    name = name_box(_("Name of who signs"), 120)
    on = DayBox(label=_("Signed on"), initial=timezone.localdate, error_messages=NEEDED)
    ink = forms.CharField(required=False, max_length=200_000, widget=forms.HiddenInput)

    def clean_ink(self):
        return ink.path_of(self.cleaned_data["ink"])


class SpokenForm(forms.Form):
    name = name_box(_("Who said yes"), 120)
    on = DayBox(label=_("On"), initial=timezone.localdate, error_messages=NEEDED)


class WhyForm(forms.Form):
    why = name_box(_("Why"), 400)


class TermsForm(VersionedForm):
    """What the job's contract says. Every percentage says what it is of."""

    add_times = number_box(_("Labor of added work, times the bid's units"), 1, MOST_TIMES, 3)
    restock_pct = number_box(_("Restocking, % of a credit"), 0, 100, 3)
    least_hours = number_box(_("Least hours of a change order"), 0, MOST_HOURS, 2)
    overhead_pct = number_box(_("Overhead, % of cost of added work"), 0, 100, 3)
    profit_pct = number_box(_("Profit, % of cost with overhead"), 0, 100, 3)
    most_markup_pct = number_box(
        _("Overhead and profit together at the most, % of cost"), 0, 200, 3, required=False,
        help_text=_("Empty: the contract sets no limit."),
    )  # fmt: skip
    patch_each = number_box(_("Patch and paint, for each moved light"), 0, MOST_PATCH, 2)
    hours_a_day = number_box(_("The crew's hours in a day"), 1, 1000, 2)
    credit_markup = forms.BooleanField(
        label=_("Overhead and profit are given back on what is taken out"), required=False
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for key, entry in usual_terms().items():
            said = _("Usually %(low)s to %(high)s (%(source)s). %(note)s")
            told = {"low": entry["low"], "high": entry["high"], "source": entry["source"], "note": entry["note"]}
            self.fields[key].help_text = said % told


class FromRevisionsForm(forms.Form):
    before = forms.ModelChoiceField(None, label=_("From revision"))
    after = forms.ModelChoiceField(None, label=_("To revision"))

    def __init__(self, *args, revisions, **kwargs):
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.queryset = revisions

    def clean(self):
        given = super().clean()
        before, after = given.get("before"), given.get("after")
        if before and after and before.number >= after.number:
            raise forms.ValidationError(_("To revision: give a later one than the revision it changes from."))
        return given


class ManyFiles(forms.ClearableFileInput):
    allow_multiple_selected = True


class PhotosField(forms.FileField):
    """Several photos, each looked at: cleaned, they are pixels."""

    most = photos.MOST_PHOTOS
    widget = ManyFiles(attrs={"accept": "image/jpeg,image/png,image/webp", "multiple": True})

    def clean(self, data, initial=None):
        uploads = [each for each in (data if isinstance(data, (list, tuple)) else [data]) if each]
        if len(uploads) > self.most:
            raise forms.ValidationError(_("At most %(n)s photos.") % {"n": self.most})
        pixels = []
        for each in uploads:
            checked = super().clean(each, initial)
            try:
                pixels.append(photos.look_at(checked))
            except photos.NoPicture as refused:
                raise forms.ValidationError(str(refused), code="picture") from refused
        return pixels


class ExtraForm(forms.Form):
    """Work nobody had bid, as it is written on a phone. The first box is all that has to be filled."""

    words = NoteFormField(label=_("What was done or asked for"), max_length=1000, error_messages=NEEDED)
    hours = number_box(_("Hours"), 0, MOST_LINE_HOURS, 2, required=False)
    material = NoteFormField(label=_("Material used"), max_length=1000, required=False)
    photos = PhotosField(label=_("Photos"), required=False)
    asked_by = name_box(_("Who asked for it"), 120, required=False)
    signed_name = name_box(_("Name of who signs"), 120, required=False)
    ink = forms.CharField(required=False, max_length=200_000, widget=forms.HiddenInput)
    on_paper = forms.BooleanField(label=_("Signed on paper: the photo shows it"), required=False)
    once = forms.SlugField(max_length=32, widget=forms.HiddenInput)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["words"].widget.attrs["rows"] = 3
        self.fields["material"].widget.attrs["rows"] = 2

    def clean_ink(self):
        return ink.path_of(self.cleaned_data["ink"])

    def clean(self):
        given = super().clean()
        if given.get("on_paper") and not given.get("photos") and "photos" not in self.errors:
            self.add_error("photos", _("Take a photo of the signed paper, or clear the tick."))
        if given.get("ink") and not given.get("signed_name"):
            self.add_error("signed_name", _("Write the name beside the signature."))
        return given


class MovedLightsForm(SignForm):
    """Which lights are to move, who asks, and who signs for it."""

    marks = forms.MultipleChoiceField(
        label=_("Lights to move"), widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Tick the lights that are to move.")},
    )  # fmt: skip
    reason = NoteFormField(label=_("Where to, and why"), max_length=1000, error_messages=NEEDED)

    field_order = ("marks", "reason", "name", "on", "ink")

    def __init__(self, *args, marks, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["marks"].choices = marks
