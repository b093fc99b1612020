"""Who gets a message can tell who sent it and when, and nobody else can make one."""

import base64
import json
import time

import pytest
from django.core.management.utils import get_random_secret_key

from projects.history.models import Entry
from projects.webhooks import services, signing
from projects.webhooks.delivering import live_secrets
from projects.webhooks.models import Webhook
from tests.factories import MemberFactory

# The worked example of the Standard Webhooks specification and of its libraries' tests (from memory; the signature
# comes out of HMAC-SHA256 over these bytes).
SECRET = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"
SAID_ID, AT, BODY = "msg_p5jXN8AQM9LWM0D4loKWxJek", 1614265330, b'{"test": 2432232314}'
SIGNED = "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="
GIVEN = {"webhook-id": SAID_ID, "webhook-timestamp": str(AT), "webhook-signature": SIGNED}


@pytest.fixture
def made(db):
    owner = MemberFactory(role="owner")
    return services.make(owner.shop, owner, name="Ledger", url="https://hooks.alder-court.com/", events=["room.moved"])


def test_row_61_a_message_is_signed_as_the_published_example_is():
    assert signing.headers(SAID_ID, AT, BODY, [SECRET]) == GIVEN
    assert signing.is_ours(GIVEN, BODY, SECRET, now=AT)


@pytest.mark.parametrize(
    "forged",
    [
        {"webhook-id": "msg_p5jXN8AQM9LWM0D4loKWxJel"},
        {"webhook-timestamp": str(AT + 1)},
        {"webhook-timestamp": "soon"},
        {"webhook-signature": ""},
        {"webhook-signature": SIGNED[:-2] + "F="},
        {"webhook-signature": SIGNED.replace("v1,", "v2,")},
        {"webhook-signature": "v1,"},
        {"webhook-signature": "v1," + base64.b64encode(b"\0" * 32).decode()},
    ],
)
def test_row_61_one_letter_changed_and_it_is_nobodys(forged):
    assert not signing.is_ours(GIVEN | forged, BODY, SECRET, now=AT)


def test_row_61_another_body_another_secret_and_headers_left_out_are_nobodys():
    assert not signing.is_ours(GIVEN, BODY + b" ", SECRET, now=AT)
    assert not signing.is_ours(GIVEN, BODY, signing.PREFIX + base64.b64encode(b"other").decode(), now=AT)
    for name in GIVEN:
        assert not signing.is_ours({key: value for key, value in GIVEN.items() if key != name}, BODY, SECRET, now=AT)


@pytest.mark.parametrize(("seconds", "holds"), [(-301, False), (-300, True), (0, True), (300, True), (301, False)])
def test_row_61_a_message_sent_again_by_somebody_else_is_good_for_five_minutes(seconds, holds):
    assert signing.is_ours(GIVEN, BODY, SECRET, now=AT + seconds) == holds


def test_row_61_two_secrets_are_live_until_the_older_is_ended(made):
    webhook, older = made
    newer = services.renew_secret(webhook)
    both = live_secrets(fresh(webhook))
    assert both == [newer, older] and newer != older
    got = signing.headers("msg_1", int(time.time()), b"{}", both)
    assert signing.is_ours(got, b"{}", older) and signing.is_ours(got, b"{}", newer)
    with pytest.raises(services.CannotDo):
        services.renew_secret(webhook)
    services.end_older_secret(webhook)
    got = signing.headers("msg_2", int(time.time()), b"{}", live_secrets(fresh(webhook)))
    assert signing.is_ours(got, b"{}", newer) and not signing.is_ours(got, b"{}", older)
    with pytest.raises(services.CannotDo):
        services.end_older_secret(webhook)


def fresh(webhook):
    return Webhook.objects.of(webhook.shop_id).get(pk=webhook.pk)


def test_a_secret_is_thirty_two_bytes_and_no_two_are_the_same(made):
    secrets = {signing.secret_of(*signing.new_seed()) for _n in range(50)} | {made[1]}
    assert len(secrets) == 51
    assert {len(base64.b64decode(each.removeprefix("whsec_"))) for each in secrets} == {32}


def test_the_database_alone_signs_nothing(made, settings):
    """Neither the secret nor its bytes stand in the row or in the history; another key reckons another secret."""
    webhook, secret = made
    stored = json.dumps(list(Webhook.objects.of(webhook.shop_id).values()), default=str)
    told = " ".join(entry.after for entry in Entry.objects.every_shop().filter(what="webhooks_webhook"))
    bare = base64.b64decode(secret.removeprefix("whsec_"))
    for form in (secret, secret.removeprefix("whsec_"), bare.hex()):
        assert form not in stored and form not in told
    assert webhook.secret_seed not in told and webhook.secret_mark not in told
    settings.SECRET_KEY = get_random_secret_key()
    with pytest.raises(signing.KeyGone):
        live_secrets(fresh(webhook))


def test_a_secret_stays_what_it_was_while_the_servers_key_is_changed(made, settings):
    webhook, secret = made
    settings.SECRET_KEY_FALLBACKS, settings.SECRET_KEY = [settings.SECRET_KEY], get_random_secret_key()
    assert live_secrets(fresh(webhook)) == [secret]
    newer = services.renew_secret(webhook)
    assert live_secrets(fresh(webhook)) == [newer, secret]
