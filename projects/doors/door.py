"""The one door: before any view runs, the route's row in the permission table settles who may pass, and for which shop.

A view behind it finds `request.member` and `request.shop` and never asks again. For a phone that joined one job, the
other jobs' rows are not there until the request is over (projects.platform.one_job). API routes are let through to
their own authentication, which asks the same table (see projects.platform.api).
"""

from django.core.exceptions import ImproperlyConfigured, PermissionDenied
from django.http import HttpResponseNotAllowed
from django.shortcuts import redirect
from django.utils.http import urlencode

from projects.accounts.models import Membership
from projects.doors.sessions import SHOP_KEY
from projects.doors.step_up import ask_again
from projects.joining.queries import let_in, the_one_job
from projects.platform.one_job import keep_to, undo
from projects.platform.permissions import ANYONE, ROUTES, SIGNED_IN, may, may_open
from projects.platform.security import refuse_repeated
from projects.platform.speaking import fall_silent, speak


class Door:
    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        request.member = request.shop = None
        before, nobody = keep_to(None), speak(shop=None, member=None, user=None, via="")
        try:
            return self.get_response(request)
        finally:
            fall_silent(nobody)
            undo(before)

    def process_view(self, request, view, args, kwargs):
        match = request.resolver_match
        if match.namespaces[:1] in (["api"], ["admin"]):  # each has a door of its own
            return None
        refuse_repeated(request)
        try:
            route = ROUTES[match.view_name]
        except KeyError:
            raise ImproperlyConfigured(f"Route {match.view_name} has no row in the permission table.") from None
        # A page is read or posted to; any other verb would reach a view that knows only these.
        action = route.action(request.method) if request.method in ("GET", "HEAD", "POST") else None
        if action is None:
            allowed = [m for m, a in (("GET", route.read), ("HEAD", route.read), ("POST", route.write)) if a]
            return HttpResponseNotAllowed(allowed)
        if action == ANYONE:
            return None
        if not request.user.is_authenticated:
            return redirect(f"/sign-in/?{urlencode({'next': request.get_full_path()})}")
        if action == SIGNED_IN:
            speak(user=request.user.pk, via="page")
            return None
        request.member = member_of(request)
        if request.member is None:
            return redirect("choose_shop")
        request.shop = request.member.shop
        speak_for(request.member, "page")
        if not may_open(request.member, match.view_name, action):
            raise PermissionDenied(action)
        return ask_again(request, again=route.asks_again(request.method), name=match.view_name)


def member_of(request):
    """The signed-in person's membership in the session's shop, or in the only shop there is; None if it lets nobody in.

    From here on the request is kept to the job of a phone that joined one.
    """
    open_to = let_in(Membership.objects.filter(user=request.user)).select_related("shop", "user", "joined")
    if chosen := request.session.get(SHOP_KEY):
        member = next(iter(open_to.filter(shop_id=chosen).order_by()[:1]), None)
    else:
        mine = list(open_to.order_by()[:2])
        member = mine[0] if len(mine) == 1 else None
    if member is not None:
        member.only_job = the_one_job(member)
        keep_to(member.only_job)
    return member


def speak_for(member, via):
    """From here on what is read and written is read and written by this member, until the request is over."""
    speak(shop=member.shop_id, member=member.pk, user=member.user_id, via=via)


def speak_for_link(shop_id):
    """A link, code or address that was handed in opens something of this shop: so it is read and written for it."""
    speak(shop=shop_id, via="client")


def membership(request):
    """Template context: the member, the shop, and a `may` that templates can ask: {% if may.lay_out %}."""
    member = getattr(request, "member", None)
    return {"member": member, "shop": member.shop if member else None, "may": _May(member)}


class _May:
    def __init__(self, member):
        self.member = member

    def __getitem__(self, name):
        return self.member is not None and may(self.member, name.replace("_", " "))
