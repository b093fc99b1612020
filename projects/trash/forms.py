"""What is typed at the trash: the version that was looked at, and another name where the old one is taken."""

from django import forms
from django.utils.translation import gettext_lazy as _

from projects.jobs.models import Job, Room
from projects.platform.forms import NameFormField, TapeForm, VersionedForm


class TrashForm(VersionedForm):
    """Only the version: a room somebody changed meanwhile is looked at again first."""


class RestoreRoomForm(TapeForm):
    name = NameFormField(label=_("Name"), max_length=Room._meta.get_field("name").max_length, required=False)


class RestoreJobForm(TapeForm):
    number = forms.CharField(label=_("Number"), max_length=Job._meta.get_field("number").max_length, required=False)
