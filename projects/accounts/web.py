"""Pages about signing in, the shop and its people. Role and shop are settled at the door (projects.doors.door)."""

from django.conf import settings
from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import F
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from projects.accounts import services
from projects.accounts.forms import MemberForm, NewPersonForm, NewTokenForm, ShopRulesForm
from projects.accounts.models import SCOPE_WORDS, Membership
from projects.doors import invitations
from projects.doors.links import full, invitation_path
from projects.doors.sessions import SHOP_KEY
from projects.doors.web import safe
from projects.joining.queries import let_in
from projects.platform.pages import both_versions
from projects.platform.permissions import scopes_of
from projects.platform.tenancy import StaleVersion

TOKENS_ON_A_PAGE = 50


def alive(request):
    return HttpResponse("alive\n", content_type="text/plain")


def own_language(request):
    """The language a person reads from now on, wherever they sign in; back to the page where it was chosen.

    Which page that was, the browser says: an address in the form would make a refused page differ by its id.
    """
    chosen = request.POST.get("language", "")
    if chosen not in dict(settings.LANGUAGES):
        messages.error(request, _("Choose one of the languages shown."))
    else:
        services.choose_language(request.user, chosen)
    return redirect(safe(request, request.headers.get("referer", "")))


def choose_shop(request):
    mine = let_in(Membership.objects.filter(user=request.user)).select_related("shop").order_by("shop__name")
    if request.method == "POST":
        chosen = next((one for one in mine if str(one.shop_id) == request.POST.get("shop")), None)
        if chosen is None:
            raise Http404
        request.session[SHOP_KEY] = chosen.shop_id
        return redirect("home")
    return render(request, "platform/choose_shop.html", {"memberships": mine[:200]})


def shop_rules(request):
    shop, tape = request.shop, request.shop.tape
    form = ShopRulesForm(request.POST or None, tape=tape, initial=vars(shop))
    if request.method == "POST" and form.is_valid():
        try:
            services.change_shop_rules(shop, form.seen_version, form.changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=_("the shop's rules"), back=request.path)
        except services.CurrencyStands as refused:
            form.add_error("currency", str(refused))
        else:
            messages.success(request, _("Saved. New layouts keep these limits; issued revisions stay as they were."))
            return redirect("shop_rules")
    return render(request, "accounts/shop_rules.html", {"form": form}, status=422 if form.errors else 200)


def people(request):
    """Who works here, who is asked in, and asking somebody."""
    form, link = NewPersonForm(request.POST or None), ""
    if request.method == "POST" and form.is_valid():
        try:
            made = invitations.invite(request.shop, by=request.member, **form.cleaned_data)
        except invitations.NotInvited as refused:
            form.add_error("email", str(refused))
        else:
            link = full(invitation_path(made))
            form = NewPersonForm()
    members = request.shop.members.select_related("user").order_by("-active", "user__name")[:200]
    asked = invitations.standing(request.shop).filter(ends_at__gt=timezone.now())
    context = {"form": form, "members": members, "link": link, "asked": asked[: invitations.MOST_STANDING]}
    return render(request, "accounts/people.html", context, status=422 if form.errors else 200)


def person(request, member_id):
    member = request.shop.members.filter(pk=member_id).select_related("user").first()
    if member is None:
        raise Http404
    form = MemberForm(request.POST or None, initial=vars(member))
    if request.method == "POST" and form.is_valid():
        changes = {name: value for name, value in form.cleaned_data.items() if name != "version"}
        try:
            services.change_member(request.shop, member_id, form.cleaned_data["version"], changes)
        except StaleVersion as stale:
            return both_versions(request, form, stale, name=str(member.user), back=request.path)
        except services.LastOwner as refused:
            form.add_error("role", str(refused))
        else:
            messages.success(request, _("Saved. It holds from %(name)s's next page.") % {"name": member.user.name})
            return redirect("people")
    context = {"form": form, "person": member}
    return render(request, "accounts/person.html", context, status=422 if form.errors else 200)


def own_tokens(request):
    """Make, show once, end. A token speaks for this person in this shop, with the role they have at that moment."""
    member = request.member
    if request.method == "POST" and "end" in request.POST:
        return _end_token(request)
    form, secret = NewTokenForm(request.POST or None, member=member), ""
    if request.method == "POST" and form.is_valid():
        try:
            _token, secret = services.make_token(member, **form.cleaned_data)
        except services.TooManyTokens as refused:
            form.add_error("name", str(refused))
        else:
            form = NewTokenForm(member=member)
    tokens = member.tokens.order_by(F("ended_at").desc(nulls_first=True), "-pk")
    page = Paginator(tokens, TOKENS_ON_A_PAGE).get_page(request.GET.get("page"))
    own = scopes_of(member)  # a token may do no more than its person, whatever it was made for
    for token in page:
        token.may_do = [SCOPE_WORDS[scope] for scope in token.scope_names if scope in own]
    context = {"form": form, "secret": secret, "page": page}
    return render(request, "accounts/tokens.html", context, status=422 if form.errors else 200)


def _end_token(request):
    asked = request.POST["end"]
    token = next((one for one in request.member.tokens.filter(ended_at=None) if str(one.pk) == asked), None)
    if token is None or not services.end_token(request.member, token.pk):
        raise Http404
    messages.success(request, _("Ended. It opens nothing from now on."))
    return redirect("own_tokens")
