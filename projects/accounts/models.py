"""People, shops and who does what in a shop. Knows nothing of jobs."""

import hashlib
import secrets

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models.functions import Lower
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from layout.engine.lengths import ZERO, Style, Tape, inches
from projects.platform.fields import LengthField, NameField, length_between, no_longer_than, one_of
from projects.platform.languages import ENGLISH, SPANISH
from projects.platform.permissions import SCOPES, Role


class UserManager(BaseUserManager):
    def create_user(self, email, name, password):
        user = self.model(email=self.normalize_email(email).casefold(), name=name)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def get_by_natural_key(self, email):
        return self.get(email=email.casefold())


class User(AbstractBaseUser):
    """A person who signs in by e-mail; without one, who came by a code from a phone (projects.joining)."""

    email = models.EmailField(max_length=254, unique=True, null=True, blank=True)
    name = NameField()
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField(default=False)  # of the installation, not of a shop: `manage.py platform_staff`
    language = models.CharField(max_length=5, blank=True, default="")  # blank: as the browser asks

    objects = UserManager()
    USERNAME_FIELD = "email"
    REQUIRED_FIELDS = ["name"]

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(email=Lower("email")), name="user_email_lower_case"),
            one_of("language", ["", ENGLISH, SPANISH], model="user"),
            no_longer_than("name", 120, model="user"),
        ]

    def __str__(self):
        return self.name


class StyleChoice(models.TextChoices):
    FEET_INCHES = Style.FEET_INCHES.value, _("feet and inches: 12'-3 1/4\"")
    INCHES = Style.INCHES.value, _('inches: 147 1/4"')
    MM = Style.MM.value, _("millimeters: 3740 mm")


# Those with two decimal places, of countries where the tape is in feet or meters and the shop may work (ISO 4217).
CURRENCIES = ("USD", "CAD", "EUR", "GBP", "AUD", "NZD", "MXN", "CHF", "SEK", "NOK", "DKK")

# What a shop may choose for each of its rules. The form says them in words, the table's CHECKs hold them.
RULES = {
    "spacing_limit": (inches(6), inches(600)),
    "end_setback": (inches(1), inches(600)),
    "row_setback": (inches(1), inches(600)),
    "edge_min": (ZERO, inches(48)),
    "web_min": (ZERO, inches(48)),
    "light_to_speaker": (ZERO, inches(240)),
    "joist_clear": (ZERO, inches(24)),
}
# Of these a zero is a decision somebody made: it needs a note.
NEVER_ZERO_UNSAID = ("edge_min", "web_min", "light_to_speaker", "joist_clear")


class Shop(models.Model):
    """A contractor's shop: its tape, and the limits its layouts keep (a zero needs a note)."""

    name = NameField()
    style = models.CharField(max_length=8, choices=StyleChoice, default=Style.INCHES.value)
    fraction = models.PositiveSmallIntegerField(default=16)
    # The shop's own rules of layout. Defaults: common practice, no source.
    spacing_limit = LengthField(default=inches(72))
    end_setback = LengthField(default=inches(24))
    row_setback = LengthField(default=inches(24))
    edge_min = LengthField(default=inches(4))
    web_min = LengthField(default=inches("1.5"))
    light_to_speaker = LengthField(default=inches(24))
    joist_clear = LengthField(default=inches("1/2"))  # for clips and a saw that wanders
    zero_note = models.CharField(max_length=200, blank=True, default="")
    currency = models.CharField(max_length=3, default="USD")  # ISO 4217; every price of the shop is in it
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            one_of("style", [style.value for style in Style], model="shop"),
            one_of("fraction", (1, 8, 16, 32, 64), model="shop"),
            one_of("currency", CURRENCIES, model="shop"),
            *(length_between(name, *bounds, model="shop") for name, bounds in RULES.items()),
            models.CheckConstraint(
                condition=models.Q(**{f"{name}__gt": 0 for name in NEVER_ZERO_UNSAID}) | ~models.Q(zero_note=""),
                name="shop_zero_needs_a_note",
            ),
        ]

    def __str__(self):
        return self.name

    @property
    def tape(self):
        style = Style(self.style)
        return Tape(style, 1 if style is Style.MM else self.fraction)


class RoleChoice(models.TextChoices):
    OWNER = Role.OWNER.value, _("Owner")
    ESTIMATOR = Role.ESTIMATOR.value, _("Estimator")
    CREW_LEAD = Role.CREW_LEAD.value, _("Crew lead")
    CREW = Role.CREW.value, _("Crew")
    VIEWER = Role.VIEWER.value, _("Viewer")


class Membership(models.Model):
    """A person in a shop. Approving a layout and moving a mark are given by the owner, not by the job title."""

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="members")
    user = models.ForeignKey(User, on_delete=models.PROTECT, related_name="memberships")
    role = models.CharField(max_length=12, choices=RoleChoice)
    may_approve = models.BooleanField(default=False)
    may_move_marks = models.BooleanField(default=False)
    may_quote = models.BooleanField(default=False)  # sees what a moved light costs, to have it signed on site
    active = models.BooleanField(default=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    token_actions: frozenset[str] | None = None  # set where a token came in: what it was made for
    only_job: int | None = None  # set at the door: the one job that a phone which joined it may see

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["shop", "user"], name="membership_once"),
            one_of("role", [role.value for role in Role], model="membership"),
        ]

    def __str__(self):
        return f"{self.user} · {self.get_role_display()}"


SCOPE_WORDS = {
    "read": _("read"), "field": _("field"), "rooms": _("rooms"), "prices": _("prices"), "shop": _("shop"),
}  # fmt: skip


class ApiToken(models.Model):
    """A person's own key to the API in one shop. Only its hash is kept."""

    member = models.ForeignKey(Membership, on_delete=models.CASCADE, related_name="tokens")
    name = NameField()
    digest = models.CharField(max_length=64, unique=True)
    scopes = models.CharField(max_length=80, default=",".join(SCOPES))  # of the permission table, 'read,field'
    created_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField(null=True)  # none: made before tokens had an end
    last_used_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [no_longer_than("scopes", 80, model="api_token")]

    def __str__(self):
        return self.name

    @property
    def scope_names(self):
        return [scope for scope in SCOPES if scope in self.scopes.split(",")]

    @property
    def expired(self):
        return self.expires_at is not None and self.expires_at <= timezone.now()

    @staticmethod
    def digest_of(secret):
        return hashlib.sha256(secret.encode()).hexdigest()

    @classmethod
    def make(cls, member, name, scopes=tuple(SCOPES), expires_at=None):
        """A new token and its secret, which is shown once and not kept."""
        secret = secrets.token_urlsafe(32)
        kept = {"digest": cls.digest_of(secret), "scopes": ",".join(scopes), "expires_at": expires_at}
        return cls.objects.create(member=member, name=name, **kept), secret
