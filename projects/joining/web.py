"""Pages of joining a job from a phone: the lead shows a code and ends phones, the crew member types it."""

from django.contrib import messages
from django.contrib.auth import login
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.doors.sessions import SHOP_KEY
from projects.jobs.queries import job_of
from projects.joining import queries, services
from projects.joining.forms import USUAL_STAY, CodeForm, JoinForm, StayForm
from projects.platform.address import client_address, counted_as
from projects.platform.pages import both_versions
from projects.platform.tenancy import StaleVersion


def join(request):
    """For the phone of somebody without an e-mail: a code and a name, then the job."""
    form = JoinForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            joined = services.join(
                form.cleaned_data["code"], form.cleaned_data["name"], source=counted_as(client_address(request))
            )
        except services.NameTaken as refused:
            form.add_error("name", str(refused))
        except services.TooManyTries as refused:
            form.add_error("code", str(refused))
            answer = render(request, "joining/join.html", {"form": form}, status=429)
            answer["Retry-After"] = str(refused.wait)
            return answer
        except services.NotJoined as refused:
            form.add_error("code", str(refused))
        else:
            login(request, joined.member.user, backend="django.contrib.auth.backends.ModelBackend")
            request.session[SHOP_KEY] = joined.shop_id
            # The door asks for the last day on every request, and the lead may move it; the cookie outlives both.
            request.session.set_expiry(int(services.LONGEST.total_seconds()))
            return redirect("field")
    return render(request, "joining/join.html", {"form": form}, status=422 if form.errors else 200)


def job_phones(request, job_id):
    """Who joined, which codes stand; a new code, which is shown this once."""
    job = job_of(request.shop, job_id)
    form, code = CodeForm(request.POST or None, initial=_usual()), None
    if request.method == "POST" and form.is_valid():
        code = _shown(form, lambda: services.show_code(job, until=form.cleaned_data["until"], by=request.member))
    return _page(request, job, form, code)


def _usual():
    return {"until": timezone.localdate() + USUAL_STAY}


def _shown(form, make):
    """The new code with its digits in groups, or None with the form's error."""
    try:
        made, digits = make()
    except services.TooManyCodes as refused:
        form.add_error(None, str(refused))
        return None
    return {"digits": f"{digits[:4]} {digits[4:7]} {digits[7:]}", "made": made}


def _page(request, job, form, code=None):
    today = timezone.localdate()
    context = {
        "job": job,
        "form": form,
        "code": code,
        "codes": queries.standing_codes(job, timezone.now()),
        "people": queries.joined_to(job),
        "today": today,
        "most_wrong": services.MOST_WRONG,
    }
    return render(request, "joining/job_phones.html", context, status=422 if form.errors else 200)


def end_join_code(request, job_id, code_id):
    job = job_of(request.shop, job_id)
    if not services.end_code(job, code_id):
        raise Http404
    messages.success(request, _("Ended. Nobody joins by it from now on; who joined stays."))
    return redirect("job_phones", job.pk)


def phone_again(request, job_id, joined_id):
    """A code for this one person's next phone. The one that is in now is out as soon as it is used."""
    job = job_of(request.shop, job_id)
    joined = queries.joined_of(job, joined_id)
    form, until = CodeForm(initial=_usual()), max(joined.until, timezone.localdate())
    code = _shown(form, lambda: services.show_code(job, until=until, by=request.member, again=joined))
    return _page(request, job, form, code)


def phone_until(request, job_id, joined_id):
    job = job_of(request.shop, job_id)
    joined = queries.joined_of(job, joined_id)
    form = StayForm(request.POST)
    if not form.is_valid():
        for errors in form.errors.values():
            messages.error(request, " ".join(errors))
    else:
        try:
            services.stay_until(joined, form.seen_version, form.cleaned_data["until"])
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=str(joined), back=reverse("job_phones", args=[job.pk]))
        messages.success(request, _("Saved. It holds from %(name)s's next page.") % {"name": joined})
    return redirect("job_phones", job.pk)


def end_phone(request, job_id, joined_id):
    """Asked once, with what the phone may still hold; then it is out from its next request."""
    job = job_of(request.shop, job_id)
    joined = queries.joined_of(job, joined_id)
    if request.method == "POST":
        services.end_phone(joined, by=request.member)
        messages.success(request, _("%(name)s's phone is ended. Its next request is refused.") % {"name": joined})
        return redirect("job_phones", job.pk)
    context = {"job": job, "joined": joined, "left": services.left_behind(joined.member)}
    return render(request, "joining/end_phone.html", context)
