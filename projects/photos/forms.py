"""What people say about a photo or a punch item."""

from django import forms
from django.utils.translation import gettext_lazy as _

from projects.files import pictures
from projects.photos.models import KEPT_SIDE, MOST_BAYS, Purpose
from projects.platform.forms import NameFormField, VersionedForm

MOST_AT_ONCE = 12
ACCEPTED = "image/jpeg,image/png,image/webp"


class ManyPictures(forms.ClearableFileInput):
    allow_multiple_selected = True


class PicturesField(forms.FileField):
    """Several pictures, each looked at: cleaned, they are pixels."""

    def __init__(self, *, most=MOST_AT_ONCE, **kwargs):
        self.most = most
        super().__init__(widget=ManyPictures(attrs={"accept": ACCEPTED, "multiple": most > 1}), **kwargs)

    def clean(self, data, initial=None):
        uploads = [each for each in (data if isinstance(data, (list, tuple)) else [data]) if each]
        if not uploads:
            return [] if not self.required else super().clean(None, initial)
        if len(uploads) > self.most:
            raise forms.ValidationError(_("At most %(n)s photos at once."), params={"n": self.most})
        return [self._read(super(PicturesField, self).clean(each, initial)) for each in uploads]

    def _read(self, upload):
        try:
            return pictures.rewritten(upload, side=KEPT_SIDE)
        except pictures.NoPicture as refused:
            raise forms.ValidationError(str(refused), code="picture") from refused


class AboutForm(forms.Form):
    """What a photo shows."""

    purpose = forms.ChoiceField(label=_("What it shows"), choices=Purpose.choices, required=False)
    bay = forms.IntegerField(
        label=_("Bay"), required=False, min_value=1, max_value=MOST_BAYS, help_text=_("Counted from the zero corner.")
    )
    mark = NameFormField(label=_("Mark"), required=False, max_length=12, help_text=_("As on the card: A3."))
    caption = NameFormField(label=_("In words"), required=False, max_length=200)


class PhotosForm(AboutForm):
    """Photos taken or chosen, all of one kind. The first box is all that has to be filled."""

    photos = PicturesField(label=_("Photos"), error_messages={"required": _("Take a photo, or choose one.")})
    key = forms.SlugField(max_length=60, widget=forms.HiddenInput)
    field_order = ["photos", "purpose", "bay", "mark", "caption", "key"]


class ChangePhotoForm(VersionedForm, AboutForm):
    pass


class PunchForm(forms.Form):
    words = NameFormField(label=_("What is left to do"), max_length=200)
    mark = NameFormField(label=_("Mark"), required=False, max_length=12, help_text=_("As on the card: A3."))


class ClosePunchForm(forms.Form):
    photos = PicturesField(label=_("Photo of it done"), most=1, required=False)
    closed_words = NameFormField(label=_("Or why there is none"), required=False, max_length=200)
