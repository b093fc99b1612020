"""What an owner types about a webhook."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from projects.platform.forms import NameFormField, VersionedForm
from projects.webhooks import addresses
from projects.webhooks.events import choices


class NewWebhookForm(forms.Form):
    name = NameFormField(label=_("Name"), max_length=120)
    url = forms.CharField(
        label=_("Address"),
        max_length=addresses.LONGEST,
        widget=forms.TextInput(attrs={"inputmode": "url", "autocapitalize": "none", "spellcheck": "false"}),
        help_text=_("Of the program that is told, from https:// on."),
    )
    events = forms.MultipleChoiceField(label=_("It is told when"), choices=choices, widget=forms.CheckboxSelectMultiple)

    def clean_url(self):
        try:
            addresses.refuse_inside(self.cleaned_data["url"])
        except addresses.NotThere as refused:
            raise ValidationError(str(refused), code="not_there") from refused
        return self.cleaned_data["url"]


class WebhookForm(NewWebhookForm, VersionedForm):
    on = forms.BooleanField(label=_("On"), required=False)
