"""Who is asking, and whether the permission table lets them. The same table as the pages' door asks."""

from datetime import timedelta

from django.core.exceptions import ImproperlyConfigured
from django.utils import timezone
from rest_framework.authentication import BaseAuthentication, SessionAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed, MethodNotAllowed, PermissionDenied
from rest_framework.permissions import BasePermission

from projects.accounts.models import ApiToken
from projects.accounts.services import usable
from projects.doors.door import member_of, speak_for
from projects.doors.step_up import wants_password
from projects.platform.api.problems import NOT_YOURS
from projects.platform.permissions import API_ROUTES, actions_of, may_open

REALM = "Bearer"
OPENS_NOTHING = "This token is not known, was ended, or its time is over. Make a new one at /tokens/."
NOT_IN_SCOPE = "This token was not made for this. Make one at /tokens/ with the scope it needs."
SEEN_AGAIN_AFTER = timedelta(minutes=1)  # a token's last use is written no more often than this


def _speak_for(request, member):
    """On Django's own request, where middleware looks too."""
    request._request.member = member
    request._request.shop = member.shop if member else None
    if member:
        speak_for(member, "api")


class TokenAuthentication(BaseAuthentication):
    """Authorization: Bearer <token>. The token's member is looked up anew each time: an ended one is out at once."""

    def authenticate_header(self, request):
        return REALM

    def authenticate(self, request):
        scheme, _, secret = get_authorization_header(request).partition(b" ")
        if scheme.lower() != REALM.lower().encode():
            return None
        token = (
            usable(ApiToken.objects.filter(digest=ApiToken.digest_of(secret.strip().decode("latin-1"))))
            .filter(member__active=True, member__user__is_active=True, member__joined=None)
            .select_related("member__shop", "member__user")
            .first()
        )
        if token is None:
            raise AuthenticationFailed(OPENS_NOTHING)
        token.member.token_actions = actions_of(token.scope_names)
        _speak_for(request, token.member)
        _note_use(token)
        return token.member.user, token


def _note_use(token):
    now = timezone.now()
    if token.last_used_at is None or token.last_used_at < now - SEEN_AGAIN_AFTER:
        ApiToken.objects.filter(pk=token.pk).update(last_used_at=now)


class SignedInAuthentication(SessionAuthentication):
    """A signed-in browser, with its CSRF token on every write."""

    def authenticate(self, request):
        found = super().authenticate(request)
        if found is not None:
            _speak_for(request, member_of(request._request))
        return found


class PasswordAgain(PermissionDenied):
    default_detail = "Type your password again at /step-up/, then send this once more."
    default_code = "password_again"


class PermissionTable(BasePermission):
    """Asks API_ROUTES. Not signed in is 401, a method nobody has 405, an action the role lacks 403."""

    def has_permission(self, request, view):
        if not request.user.is_authenticated:
            return False  # DRF turns it into 401: the first authentication has a challenge
        name = request.resolver_match.url_name
        if name not in API_ROUTES:
            raise ImproperlyConfigured(f"API route {name} has no row in the permission table.")
        action = API_ROUTES[name].action(request.method)
        if request.method not in view.allowed_methods or action is None:
            raise MethodNotAllowed(request.method)
        if request.member is None:
            raise PermissionDenied("Choose a shop first, at /shops/.")
        if not may_open(request.member, name, action):
            raise PermissionDenied(NOT_YOURS if request.auth is None else self._why(request, action))
        # A token was made by who had typed the password; a browser's session may stand open on a desk.
        if request.auth is None and wants_password(request, API_ROUTES[name].asks_again(request.method)):
            raise PasswordAgain
        return True

    @staticmethod
    def _why(request, action):
        """Which of the two has to be changed: the person's role, or the token."""
        return NOT_YOURS if action in actions_of(request.auth.scope_names) else NOT_IN_SCOPE
