"""An owner sets a webhook up, tries it, changes its secret, and sees what came of each message; on pages and by API."""

import re

import pytest

from projects.platform.permissions import Role
from projects.webhooks import signing
from projects.webhooks.models import Delivery, Webhook
from tests.api.houses import Asker, token_of
from tests.factories import DeliveryFactory, ShopFactory, WebhookFactory
from tests.shops import people_of, sign_in

pytestmark = pytest.mark.django_db
PAGE, API = "/shop/webhooks/", "/api/v1/webhooks/"
NEW = {"name": "Ledger", "url": "https://hooks.alder-court.com/ceiling", "events": ["room.moved", "bid.accepted"]}
SECRET = re.compile(r"whsec_[A-Za-z0-9+/]{43}=")


@pytest.fixture
def people():
    return people_of(ShopFactory(name="Plumbline & Chalk"))


@pytest.fixture
def owner(client, people):
    sign_in(client, people[Role.OWNER])
    return client


@pytest.fixture
def ask(people):
    return Asker(token_of(people[Role.OWNER]))


def test_the_secret_is_shown_once_on_the_page_and_is_the_one_that_signs(owner, people):
    [secret] = SECRET.findall(owner.post(PAGE, NEW).content.decode())
    made = Webhook.objects.of(people[Role.OWNER].shop).get()
    assert secret == signing.secret_of(made.secret_seed, made.secret_mark)
    for page in (PAGE, f"{PAGE}{made.pk}/"):
        text = owner.get(page).content.decode()
        assert "Ledger" in text and "whsec_" not in text and made.secret_seed not in text


def test_the_page_tries_it_sends_again_and_ends_a_secret(owner, people):
    made = DeliveryFactory(webhook__shop=people[Role.OWNER].shop, status=500, answer="<b>no</b>").webhook
    here = f"{PAGE}{made.pk}/"
    assert "&lt;b&gt;no&lt;/b&gt;" in owner.get(here).content.decode()
    assert owner.post(f"{here}try/").url == here
    first = made.deliveries.order_by("pk").first()
    assert owner.post(f"{here}{first.pk}/again/").url == here
    assert sorted(made.deliveries.values_list("event", "state")) == [
        ("room.moved", "waiting"), ("webhook.tried", "waiting"),
    ]  # fmt: skip
    assert len(SECRET.findall(owner.post(f"{here}secret/").content.decode())) == 1
    owner.post(f"{here}secret/end/")
    made.refresh_from_db()
    assert made.older_secret_seed == ""


def test_what_somebody_else_changed_is_not_removed_unseen(owner, people):
    made = WebhookFactory(shop=people[Role.OWNER].shop)
    here = f"{PAGE}{made.pk}/"
    assert owner.post(f"{here}remove/", {"version": 7}).url == here
    assert owner.post(f"{here}remove/", {"version": made.version}).url == PAGE
    assert not Webhook.objects.of(made.shop_id).exists()


def test_an_address_inside_and_an_event_nobody_knows_are_refused_where_they_stand(owner, ask):
    answer = owner.post(PAGE, NEW | {"url": "https://127.0.0.1/"})
    assert answer.status_code == 422 and "by its name" in answer.content.decode()
    said = ask.post(API, NEW | {"url": "https://[::1]/", "events": ["room.painted"]})
    assert said.status_code == 400
    assert {each["pointer"].split("/")[1] for each in said.json()["errors"]} == {"url", "events"}


def test_over_the_api_it_is_made_changed_tried_and_removed(ask, people):
    made = ask.post(API, NEW).json()
    assert SECRET.fullmatch(made["secret"])
    here = f"{API}{made['id']}/"
    assert "secret" not in ask.get(here).json()
    assert ask.edit("PATCH", here, {"on": False}).json()["on"] is False
    assert ask.post(f"{here}try/").status_code == 422
    assert ask.edit("PATCH", here, {"on": True}).json()["events"] == ["bid.accepted", "room.moved"]
    sent = ask.post(f"{here}try/").json()
    assert (sent["event"], sent["state"]) == ("webhook.tried", "waiting")
    assert ask.post(f"{here}secret/").json()["secret"] != made["secret"]
    assert ask.get(here).json()["two_secrets"] is True
    assert ask.get(f"{here}messages/").json()["count"] == 1
    assert ask.edit("DELETE", here, None).status_code == 204
    assert not Delivery.objects.of(people[Role.OWNER].shop).exists()


def test_another_shops_webhook_and_message_are_not_there(ask, owner):
    other = DeliveryFactory()
    mine = WebhookFactory(shop=Webhook.objects.of(other.shop_id).get().shop)
    for address in (f"{API}{mine.pk}/", f"{API}{other.webhook_id}/messages/"):
        assert ask.get(address).status_code == 404
    assert owner.post(f"{PAGE}{other.webhook_id}/{other.pk}/again/").status_code == 404
