"""How many rooms alike are wanted, or how each is called."""

from django import forms
from django.utils.translation import gettext_lazy as _

from layout.alike.services import MOST_AT_ONCE
from projects.jobs.models import Room
from projects.platform.forms import NoteFormField, TapeForm
from projects.platform.names import clean_name

LONGEST = Room._meta.get_field("name").max_length


class AlikeForm(TapeForm):
    times = forms.IntegerField(label=_("How many more"), min_value=1, max_value=MOST_AT_ONCE, required=False)
    names = NoteFormField(
        label=_("Or their names"), required=False, max_length=MOST_AT_ONCE * (LONGEST + 2),
        help_text=_("One room on a line, such as 201, 202, 203."),
    )  # fmt: skip

    def clean_names(self):
        # A row of a sheet comes with tabs between: each cell is a name.
        lines = self.cleaned_data["names"].replace("\t", "\n").splitlines()
        names = [clean_name(line) for line in lines if line.strip()]
        if len(names) > MOST_AT_ONCE:
            words = _("%(there)s names. Give at most %(most)s at once.")
            raise forms.ValidationError(words, params={"there": len(names), "most": MOST_AT_ONCE})
        for name in names:
            if len(name) > LONGEST:
                raise forms.ValidationError(
                    _("“%(name)s” is too long: at most %(most)s letters."), params={"name": name, "most": LONGEST}
                )
            if names.count(name) > 1:
                raise forms.ValidationError(_("“%(name)s” stands there twice."), params={"name": name})
        return names

    def clean(self):
        data = super().clean()
        if not self.errors and not data.get("names") and not data.get("times"):
            self.add_error("times", _("How many? Or give their names below."))
        return data
