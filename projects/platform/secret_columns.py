"""Every column that opens something, or from which what opens it could be made, with what it is. Data, for whoever
shows, tells or hands out rows: the history, a person's copy, a shop's file, platform staff's tables.
"""

import re

from django.db import models

# "app.Model.column": what it is
SECRETS = {
    "accounts.User.password": "a password's hash",
    "accounts.ApiToken.digest": "the hash of a person's token",
    "joining.JoinCode.digest": "the hash of a code that lets a phone in",
    "days.CalendarFeed.digest": "the hash of a calendar's address",
    "field.Phone.session_key": "a phone that is signed in",
    "bids.ClientLink.token": "opens a bid to whoever has it",
    "approvals.ApprovalLink.token": "opens a layout to whoever has it",
    "layout.LayoutRevision.token": "opens a card's check page to whoever has it",
    "webhooks.Webhook.secret_seed": "what a webhook is signed with is reckoned from it",
    "webhooks.Webhook.secret_mark": "the mark of the key it is reckoned with",
    "webhooks.Webhook.older_secret_seed": "the same, of the one before",
    "webhooks.Webhook.older_secret_mark": "the same, of the one before",
    "traffic.KeptAnswer.body": "an answer as it was given: it may show a token that is shown once",
    "sessions.Session.session_key": "somebody who is signed in",
    "sessions.Session.session_data": "what is known of somebody who is signed in",
    "otp_totp.TOTPDevice.key": "a second factor",
    "otp_static.StaticToken.token": "a code in a second factor's place",
    "django_tasks_database.DBTaskResult.args_kwargs": "letters with their links",
}

# Columns of a name that secrets have, and none, by what they are.
HARMLESS = {
    "the digest of a text or a file that is kept": (
        "approvals.ApprovalLink.digest", "bids.BidRevision.digest", "bids.ClientLink.digest",
        "catalogue.InstallSheet.digest", "catalogue.PhotometricFile.digest", "changes.ChangeOrder.digest",
        "field.EntryKept.digest", "keeping.BackupMade.digest", "keeping.TakenOut.digest",
        "layout.LayoutRevision.digest", "light.KeptLight.digest", "light.MeterReading.digest",
        "takeoffs.RulesVersion.digest", "takeoffs.Takeoff.digest", "history.Entry.digest", "history.Seal.digest",
    ),
    "what a thing is called within its table or list": (
        "bids.BidLine.key", "bids.TrueUp.key", "catalogue.ControlType.key", "catalogue.FixtureType.key",
        "catalogue.LightTarget.key", "changes.GoodsSaid.key", "light.LightSetup.target_key", "overview.RedRule.key",
        "prices.Conditions.keys", "prices.Item.key", "prices.LaborEdit.key", "purchasing.Leftover.key",
        "purchasing.Movement.key", "purchasing.OrderLine.key", "purchasing.PickLine.key",
    ),
    "a digest by which the same is known again": (
        "doors.Tried.key", "takeoffs.RoomLines.key", "traffic.KeptAnswer.key",
    ),
    "a phone's own number of what it sent": ("field.EntryKept.key", "photos.Photo.key"),
}  # fmt: skip
LOOKS_SECRET = re.compile(r"password|passphrase|secret|token|digest|seed|session|recovery|(^|_)otp|(^|_)keys?$")

_HARMLESS = frozenset(column for columns in HARMLESS.values() for column in columns)


def is_secret(field: models.Field) -> bool:
    """Listed above; or looking like one and told nowhere to be harmless: kept back until somebody has said."""
    column = name_of(field)
    return column in SECRETS or (bool(LOOKS_SECRET.search(field.name)) and column not in _HARMLESS)


def name_of(field: models.Field) -> str:
    """'app.Model.column', as columns are called in tables like the one above."""
    return f"{field.model._meta.label}.{field.name}"
