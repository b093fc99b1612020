"""What of a shop's records goes out with the shop, and what stays here. As data, each with its reason."""

from functools import cache

from django.apps import apps
from django.contrib.auth.hashers import make_password

from projects.platform.secret_columns import is_secret, name_of
from projects.platform.ways_up import SHOP, as_lookup, way_up

USER = "accounts.User"

# Whole parts, and single records, that stay.
STAYS = {
    "auth": "groups of another framework's making; unused",
    "contenttypes": "the installation's own list of its tables",
    "sessions": "who is signed in, here",
    "django_tasks_database": "the installation's queue",
    "history": "a chain over this installation's own ids; its entries begin anew where the shop comes in",
    "keeping": "backups, drills and what was taken out, here",
    "admin": "what platform staff did here",
    "otp_totp": "second factors of people here",
    "otp_static": "second factors of people here",
    "traffic": "counts and answers of a few days",
    "doors.Tried": "counts of guesses",
    "doors.Invitation": "links signed with this installation's key",
    "doors.Device": "devices known to this installation",
    "work": "long work queued here; what came of it goes out",
    "webhooks": "signed with secrets of this installation; they are set up anew",
    "files.KeptBytes": "counted anew from the files that come in",
    "accounts.ApiToken": "keys to this installation",
    "joining.JoinCode": "codes that are read here",
    "joining.TriesOfAnHour": "counts of guesses",
    "days.CalendarFeed": "keys to this installation",
    "field.Phone": "phones that are signed in here",
    "light.KeptLight": "worked out anew when it is asked for",
    "takeoffs.RoomLines": "counted anew when they are asked for",
}

# Columns that stay, with what stands in them afterwards. So does every secret; what is not said here is left blank.
UNSAID = {
    f"{USER}.password": lambda: make_password(None),  # a person sets one by the letter that asks them in
    f"{USER}.last_login": lambda: None,
    f"{USER}.is_staff": lambda: False,  # nobody comes in as platform staff
    "close_out.Packet.work": lambda: None,
    "field.EntryKept.phone": lambda: None,
}


# But for these, which work there as they did here: whoever was given one has it on paper or in a letter.
GOES_ALONG = {
    "bids.ClientLink.token": "a client's link to a bid",
    "approvals.ApprovalLink.token": "a client's link to a layout",
    "layout.LayoutRevision.token": "the code on a printed card",
}


def stays(model) -> str:
    """The reason why a table stays, empty for one that goes out."""
    return STAYS.get(model._meta.label) or STAYS.get(model._meta.app_label, "")


def way_to_shop(model) -> str:
    """How a table's rows lead to their shop, as a lookup: 'room__job__shop'. Empty where they don't.

    A person leads to none by keys of their own: they go out with each shop that they work in.
    """
    if model._meta.label == USER:
        return "memberships__shop"
    way = way_up(model, SHOP)
    return "" if way is None else as_lookup(way)


@cache
def going_out() -> tuple:
    """The tables of a shop, people and shop first, the others by name."""
    models = [one for one in apps.get_models(include_auto_created=True) if not stays(one) and way_to_shop(one)]
    return tuple(sorted(models, key=lambda one: (one._meta.label != SHOP, one._meta.label != USER, one._meta.label)))


def fields_of(model) -> tuple:
    """The columns that go out, without the row's own id."""
    return tuple(
        field
        for field in model._meta.concrete_fields
        if not _stays_behind(field) and not (field.primary_key and not field.is_relation)
    )


def unsaid_of(model) -> dict:
    """{field: what stands in it where the shop comes in} of the columns that stay."""
    return {
        field: UNSAID.get(name_of(field), field.get_default)()
        for field in model._meta.concrete_fields
        if _stays_behind(field)
    }


def _stays_behind(field) -> bool:
    return name_of(field) in UNSAID or (is_secret(field) and name_of(field) not in GOES_ALONG)
