"""What people set for Rooms: kept views, the shop's red rules. Knows no rooms."""

from dataclasses import replace

from django import forms
from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from projects.platform.forms import NameFormField
from projects.platform.permissions import may
from projects.platform.tenancy import StaleVersion
from reports.rooms import views
from reports.rooms.models import MOST_DAYS, MOST_HOURS
from reports.rooms.rules import change_rules, rules_of


class ViewForm(forms.Form):
    name = NameFormField(max_length=60, error_messages={"required": _("Give the view a name.")})
    query = forms.CharField(max_length=4000, required=False)


def back_to(query):
    return redirect(f"{reverse('rooms')}?{query}" if query else reverse("rooms"))


def keep_view(request):
    form = ViewForm(request.POST)
    query = views.plain(request.POST.get("query", "")[:4000])
    if not form.is_valid():
        messages.error(request, " ".join(error for errors in form.errors.values() for error in errors))
        return back_to(query)
    try:
        kept = views.keep(request.member, form.cleaned_data["name"], query)
    except views.NotKept as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Kept as %(name)s.") % {"name": kept.name})
    return back_to(query)


def _own(request, view_id):
    """The view, if it is the person's own: None, and why, for somebody else's."""
    found = views.view_of(request.shop, view_id)
    if found is None:
        raise Http404
    if found.member_id == request.member.pk:
        return found
    messages.error(request, _("That view is somebody else's. Keep one of your own."))
    return None


def drop_view(request, view_id):
    found = _own(request, view_id)
    if found is None:
        return back_to("")
    views.drop(found)
    messages.success(request, _("%(name)s is dropped; the rooms stay as they are.") % {"name": found.name})
    return back_to("")


def share_view(request, view_id):
    """One press shares it with everybody in the shop, another takes it back."""
    found = _own(request, view_id)
    if found is None:
        return back_to("")
    views.share(found, not found.shared)
    told = _("Everybody in the shop has %(name)s now.") if found.shared else _("%(name)s is yours alone again.")
    messages.success(request, told % {"name": found.name})
    return back_to(found.query)


class RuleForm(forms.Form):
    """One rule's numbers; the boxes' names begin with its key."""

    watched = forms.BooleanField(required=False)
    days = forms.IntegerField(min_value=0, max_value=MOST_DAYS, required=False)
    hours_once = forms.DecimalField(min_value=0, max_value=MOST_HOURS, decimal_places=1, max_digits=4)
    hours_each = forms.DecimalField(min_value=0, max_value=MOST_HOURS, decimal_places=1, max_digits=4)
    version = forms.IntegerField(min_value=0, widget=forms.HiddenInput)

    def __init__(self, rule, data=None):
        initial = {name: getattr(rule, name) for name in self.base_fields}
        super().__init__(data, prefix=rule.key, initial=initial)
        self.rule = rule
        labels = {
            "watched": _("Watch: %(rule)s"),
            "days": _("Days: %(rule)s"),
            "hours_once": _("Hours a job: %(rule)s"),
            "hours_each": _("Hours each: %(rule)s"),
        }
        for name, label in labels.items():
            self.fields[name].label = label % {"rule": rule.name}
        if rule.days is None:
            del self.fields["days"]
        else:
            self.fields["days"].required = True

    @property
    def changed(self):
        """The rule as it was typed, or None where it stays."""
        values = {name: self.cleaned_data.get(name) for name in ("watched", "days", "hours_once", "hours_each")}
        typed = replace(self.rule, **values, version=self.cleaned_data["version"])
        same = all(getattr(typed, name) == getattr(self.rule, name) for name in values)
        return None if same else typed


def red_rules(request):
    rules = [
        rule for rule in rules_of(request.shop).values() if not rule.money or may(request.member, "change contracts")
    ]
    rows = [RuleForm(rule, request.POST or None) for rule in rules]
    status = 200
    if request.method == "POST":
        wrong = [form for form in rows if not form.is_valid()]  # each is asked: all that is wrong is said at once
        if not wrong:
            changed = {form.rule.key: form.changed for form in rows if form.changed}
            try:
                change_rules(request.shop, changed)
            except StaleVersion:
                messages.error(
                    request, _("Somebody else changed these rules while you had them open. Look again, then save.")
                )
                status = 409
            else:
                messages.success(request, _("Saved. Rooms and the first screen go by these from now on."))
                return redirect("red_rules")
        else:
            status = 422
    return render(request, "overview/red_rules.html", {"rows": rows}, status=status)
