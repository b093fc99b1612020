"""Platform staff see every table and change next to nothing; nobody else finds out that there is such a place."""

import time

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext, override_settings
from django.urls import reverse

from projects.accounts.models import User
from projects.doors import sessions
from projects.staff import records
from tests.factories import FACTORIES, MemberFactory, UserFactory

pytestmark = pytest.mark.django_db
OURS = sorted(FACTORIES, key=lambda model: model._meta.label)


@pytest.fixture(scope="module", autouse=True)
def with_a_place_for_staff():
    """Once for all tests here: after it changes, each address is read anew."""
    with override_settings(ROOT_URLCONF="tests.staff.urls"):
        yield


def of_list(model):
    return reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_changelist")


@pytest.fixture
def staff(client):
    client.force_login(UserFactory(is_staff=True))
    return client


def test_every_table_of_ours_is_there(staff):
    page = staff.get(reverse("admin:index")).content.decode()
    ours = [model for model in apps.get_models() if model.__module__.startswith(("projects.", "layout", "reports"))]
    assert [model._meta.label for model in ours if of_list(model) not in page] == []


def tables():
    """One table of each part; all the others under the long mark."""
    parts = set()
    for model in OURS:
        first = model._meta.app_label not in parts
        parts.add(model._meta.app_label)
        yield pytest.param(model, id=model._meta.label, marks=() if first else pytest.mark.long)


@pytest.mark.parametrize("model", list(tables()))
def test_a_list_takes_as_many_queries_for_three_rows_as_for_one(staff, model):
    def asked():
        with CaptureQueriesContext(connection) as captured:
            assert staff.get(of_list(model), {"q": ""}).status_code == 200
        return len(captured)

    row = FACTORIES[model]()
    before = asked()
    more_of(model)
    assert asked() <= max(before, 6)
    one = staff.get(reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_change", args=[row.pk]))
    assert one.status_code == 200


def more_of(model):
    for _row in range(2):
        try:
            with transaction.atomic():
                FACTORIES[model]()
        except IntegrityError:  # a table that takes one row of a kind
            return


def test_words_are_searched_as_they_stand(staff):
    UserFactory(name="100% plumb")
    assert "100% plumb" in staff.get(of_list(User), {"q": "100% pl"}).content.decode()
    assert "100% plumb" not in staff.get(of_list(User), {"q": "100_ pl"}).content.decode()
    for model in OURS:
        if model._meta.app_label in ("accounts", "jobs", "doors"):
            assert staff.get(of_list(model), {"q": "' OR 1=1 --%_"}).status_code == 200


def test_no_secret_is_in_a_list_or_on_a_page(staff):
    member = MemberFactory()
    User.objects.filter(pk=member.user_id).update(password="pbkdf2-hash-of-theirs")
    address = reverse("admin:accounts_user_change", args=[member.user_id])
    for page in (staff.get(of_list(User)), staff.get(address)):
        assert "pbkdf2-hash-of-theirs" not in page.content.decode()


def test_no_column_that_opens_something_or_was_sent_to_somebody_is_among_those_shown():
    shown = {field.name for model in OURS for field in records._shown(model)}
    assert shown.isdisjoint({"password", "digest", "token", "key", "body", "session_key", "secret_seed", "secret_mark"})
    assert shown >= {"name", "email", "number"}


def test_nothing_is_added_deleted_or_changed_but_whether_somebody_gets_in(staff):
    member = MemberFactory()
    user = member.user
    base = "admin:accounts_membership"
    assert staff.get(reverse(f"{base}_add")).status_code == 403
    assert staff.post(reverse(f"{base}_delete", args=[member.pk]), {"post": "yes"}).status_code == 403
    assert staff.post(reverse(f"{base}_change", args=[member.pk]), {"role": "owner"}).status_code == 403
    address = reverse("admin:accounts_user_change", args=[user.pk])
    sent = {"name": "Else", "email": "else@shop.example", "is_staff": "on", "password": "x"}
    assert staff.post(address, sent).status_code == 302
    now = User.objects.get(pk=user.pk)
    assert (now.name, now.email, now.is_staff, now.is_active) == (user.name, user.email, False, False)


def test_the_password_is_asked_for_again_each_hour(staff):
    session = staff.session
    session[sessions.TYPED] = int(time.time()) - 3601
    session.save()
    answer = staff.get(reverse("admin:index"))
    assert answer.status_code == 302
    assert staff.get(answer.url).url.startswith("/step-up/?next=")


@pytest.mark.parametrize("name", ["admin:index", "admin:accounts_user_changelist", "admin:jobs_job_changelist"])
def test_an_owner_finds_nothing_there_and_who_is_not_signed_in_signs_in(client, name):
    client.force_login(MemberFactory().user)
    assert client.get(reverse(name)).status_code == 404
    assert client.post(reverse(name)).status_code == 404
    assert Client().get(reverse(name)).status_code == 302


def test_staff_is_nobody_in_a_shop(staff):
    assert staff.get("/rooms/").url == "/shops/"
    assert staff.get("/api/v1/jobs/").status_code == 403


def test_without_a_path_there_is_no_such_place(client, settings):
    settings.ROOT_URLCONF = "projects.urls"
    client.force_login(UserFactory(is_staff=True))
    for address in ("/admin/", "/platform-7f3a/", "/admin/login/"):
        assert client.get(address).status_code == 404


def test_row_67_an_address_of_a_script_is_text_not_a_link(staff):
    member = MemberFactory(user__name="javascript:alert(1)")
    for address in (of_list(User), reverse("admin:accounts_user_change", args=[member.user_id])):
        page = staff.get(address).content.decode()
        assert "javascript:alert(1)" in page
        assert 'href="javascript' not in page.lower()


def test_row_67_markup_in_a_name_is_text(staff):
    MemberFactory(user__name='"><svg onload=alert(1)>')
    page = staff.get(of_list(User)).content.decode()
    assert "<svg onload" not in page and "&lt;svg onload" in page


@pytest.mark.parametrize("query", ["?o=-999", "?p=-1", "?p=zzz", "?all=1", "?shop__members__user__password=x", "?e=1",
                                   "?_to_field=password", "?q=%00", "?_connector=OR"])  # fmt: skip
def test_row_67_odd_questions_lead_nowhere(staff, query):
    answer = staff.get(of_list(User) + query)
    assert answer.status_code in (200, 302, 400)


def test_the_command_says_adds_and_removes(capsys):
    UserFactory(email="lee@shop.example")
    call_command("platform_staff", add="Lee@shop.example")
    assert "lee@shop.example" in capsys.readouterr().out
    assert User.objects.get(email="lee@shop.example").is_staff
    call_command("platform_staff", remove="lee@shop.example", json=True)
    assert capsys.readouterr().out.strip() == '{"staff": []}'
    with pytest.raises(CommandError, match="Nobody signs in as"):
        call_command("platform_staff", add="nobody@shop.example")
