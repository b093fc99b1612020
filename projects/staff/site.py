"""The tables as platform staff see them, under a path of their own that CEILINGBOOK_ADMIN names; else there are none.

Staff are people of the installation (`manage.py platform_staff`), not of a shop. Each hour the password is asked for.
"""

import time
from functools import update_wrapper

from django.contrib.admin import AdminSite
from django.http import Http404
from django.shortcuts import redirect
from django.utils.http import urlencode

from projects.doors import sessions
from projects.platform.parts import own_models
from projects.platform.speaking import speaking
from projects.staff.records import Table

FRESH = 3600  # seconds


class StaffSite(AdminSite):
    site_header = site_title = "Ceilingbook, platform"
    index_title = "Tables"
    site_url = "/"
    enable_nav_sidebar = False
    final_catch_all_view = False

    def has_permission(self, request):
        return _is_staff(request) and request.session.get(sessions.TYPED, 0) > time.time() - FRESH

    def admin_view(self, view, cacheable=False):
        inner = super().admin_view(view, cacheable)

        def spoken(request, *args, **kwargs):
            if request.user.is_authenticated and not _is_staff(request):
                raise Http404
            with speaking(user=request.user.pk, via="admin"):
                return inner(request, *args, **kwargs)

        return update_wrapper(spoken, inner)

    def login(self, request, extra_context=None):
        """Nobody signs in here: through the one door, then with the password once more."""
        to = "/step-up/" if request.user.is_authenticated else "/sign-in/"
        return redirect(f"{to}?{urlencode({'next': request.get_full_path()})}")


def _is_staff(request):
    return request.user.is_authenticated and request.user.is_active and request.user.is_staff


def made():
    """The site with every table of ours, made from the models that are installed."""
    site = StaffSite(name="admin")
    for model in own_models():
        site.register(model, Table)
    return site
