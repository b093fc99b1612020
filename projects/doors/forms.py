"""What people type to come in, to be asked in, and to keep others out."""

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.utils.translation import gettext_lazy as _

from projects.doors import passwords, signing_in
from projects.doors.pace import TooOften
from projects.doors.signing_in import same_address
from projects.platform.forms import NameFormField

LONGEST = 256  # characters of a password; a phrase has room, a hash isn't made of a megabyte


def _password(label, autocomplete, **more):
    widget = forms.PasswordInput(attrs={"autocomplete": autocomplete})
    return forms.CharField(label=label, strip=False, max_length=LONGEST, widget=widget, **more)


class AccountEmailField(forms.EmailField):
    """An e-mail as accounts are told apart by."""

    def __init__(self, **kwargs):
        kwargs.setdefault("label", _("E-mail"))
        kwargs.setdefault("max_length", 254)
        super().__init__(**kwargs)

    def clean(self, value):
        return same_address(super().clean(same_address(value or "")))


class Paced(forms.Form):
    """A form whose guesses are counted. wait: seconds, once they were too many."""

    wait = 0

    def counted(self, look):
        """What look() found, or None with the form's error when it may not look now."""
        try:
            return look()
        except TooOften as refused:
            self.wait = refused.wait
            raise forms.ValidationError(str(refused), code="too_often") from None


class SignInForm(Paced):
    email = AccountEmailField(widget=forms.EmailInput(attrs={"autocomplete": "username"}))
    password = _password(_("Password"), "current-password")
    next = forms.CharField(required=False, max_length=4000, widget=forms.HiddenInput)

    def __init__(self, request, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.request = request
        self.user = None

    def clean(self):
        data = super().clean()
        if data.get("email") and data.get("password"):
            self.user = self.counted(
                lambda: signing_in.signed_in_by(self.request, data["email"], data["password"])
            )
            if self.user is None:
                raise forms.ValidationError(_("E-mail and password do not match. Type both again."))
        return data


class OfAPerson(Paced):
    def __init__(self, user, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.user = user


class PasswordAgainForm(OfAPerson):
    """The password of who is signed in already, once more."""

    password = _password(_("Your password"), "current-password")

    def clean_password(self):
        typed = self.cleaned_data["password"]
        if not self.counted(lambda: passwords.is_their_password(self.user, typed)):
            raise forms.ValidationError(_("That is not your password. Type it again."))
        return typed


class NewPasswordForm(OfAPerson):
    """A password nobody guesses, for an account of this e-mail and name."""

    new = _password(_("New password"), "new-password", help_text=_("Ten characters or more. A phrase is good."))
    end_tokens = forms.BooleanField(
        label=_("End my tokens too: programs that work here as me stop"), required=False, initial=True
    )

    def clean_new(self):
        validate_password(self.cleaned_data["new"], self.user)
        return self.cleaned_data["new"]


class ChangePasswordForm(NewPasswordForm, PasswordAgainForm):
    field_order = ["password", "new", "end_tokens"]


class LostPasswordForm(forms.Form):
    email = AccountEmailField(widget=forms.EmailInput(attrs={"autocomplete": "username"}))


class ComeInForm(NewPasswordForm):
    """Who takes up an invitation and has no account yet."""

    end_tokens = None
    name = NameFormField(
        label=_("Your name"), max_length=120, widget=forms.TextInput(attrs={"autocomplete": "name"})
    )
    field_order = ["name", "new"]
