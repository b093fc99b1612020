"""What was sealed can be neither changed, taken out, added to nor put in another order without being seen."""

import json
from contextlib import contextmanager
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection, transaction

from projects.history import chain
from projects.history.models import Entry, Seal
from projects.platform.speaking import speaking
from tests.factories import RoomFactory, ShopFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def sealed(db):
    """Two shops with a few changes each, sealed twice; the chain is whole."""
    shops = [ShopFactory(), ShopFactory()]
    for _ in range(2):
        for shop in shops:
            RoomFactory(shop=shop)
        chain.seal()
    RoomFactory(shop=shops[0])  # not sealed yet
    assert chain.verify().findings == []
    return shops[0]


@contextmanager
def behind_its_back():
    """As somebody would who owns the database file: without the triggers that refuse."""
    with connection.cursor() as cursor, transaction.atomic():
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name FROM sqlite_master WHERE type='trigger' AND name LIKE 'history_fixed%'")
            for (name,) in cursor.fetchall():
                cursor.execute(f'DROP TRIGGER "{name}"')
        else:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute("ALTER TABLE history_entry DISABLE TRIGGER USER")
            cursor.execute("ALTER TABLE history_seal DISABLE TRIGGER USER")
        yield cursor


def an_entry(shop, sealed=True):
    rows = Entry.objects.of(shop).filter(what="jobs_room").order_by("pk")
    return rows.first() if sealed else rows.last()


def found(shop):
    return [each for each in chain.verify().findings if each.shop == shop.pk]


def test_a_changed_entry_is_found_and_named(sealed):
    entry = an_entry(sealed)
    with behind_its_back() as cursor:
        cursor.execute("UPDATE history_entry SET member_id = 7 WHERE id = %s", [entry.pk])
    assert entry.pk in [each.entry for each in found(sealed)]


def test_an_entry_changed_together_with_its_digest_is_found_by_its_seal(sealed):
    entry = an_entry(sealed)
    entry.after = "{}"
    entry.digest = chain._digest(entry.shop_id, [
        entry.at, (entry.job_id, entry.room_id), entry.what, entry.record, entry.did, entry.before, entry.after,
        entry.member_id, entry.user_id, entry.via, entry.request,
    ])  # fmt: skip
    with behind_its_back() as cursor:
        cursor.execute(
            "UPDATE history_entry SET after = %s, digest = %s WHERE id = %s", [entry.after, entry.digest, entry.pk]
        )
    assert [each.what for each in found(sealed)] == [
        f"entries up to {Seal.objects.of(sealed).order_by('pk').first().last} are not those that were sealed: "
        "changed or in another order"
    ]


def test_an_entry_taken_out_is_found(sealed):
    with behind_its_back() as cursor:
        cursor.execute("DELETE FROM history_entry WHERE id = %s", [an_entry(sealed).pk])
    assert "1 missing" in found(sealed)[0].what


def test_an_entry_put_in_among_sealed_ones_is_found(sealed):
    gone = an_entry(sealed)
    with behind_its_back() as cursor:
        cursor.execute("DELETE FROM history_entry WHERE id = %s", [gone.pk])
    with speaking(shop=sealed.pk):
        Entry.objects.create(**{f.attname: getattr(gone, f.attname) for f in Entry._meta.concrete_fields} | {
            "record": "999"
        })  # fmt: skip
    assert {each.entry for each in found(sealed)} >= {gone.pk}


def test_two_entries_that_changed_places_are_found(sealed):
    one, other = Entry.objects.of(sealed).order_by("pk")[:2]
    with behind_its_back() as cursor:
        cursor.execute("UPDATE history_entry SET id = -1 WHERE id = %s", [one.pk])
        cursor.execute("UPDATE history_entry SET id = %s WHERE id = %s", [one.pk, other.pk])
        cursor.execute("UPDATE history_entry SET id = %s WHERE id = -1", [other.pk])
    assert "in another order" in found(sealed)[0].what


def test_a_shop_whose_entries_are_all_gone_is_found(sealed):
    with behind_its_back() as cursor:
        cursor.execute("DELETE FROM history_entry WHERE shop_id = %s", [sealed.pk])
    assert len(found(sealed)) == 2


def test_a_seal_taken_out_is_found(sealed):
    with behind_its_back() as cursor:
        cursor.execute("DELETE FROM history_seal WHERE shop_id = %s AND number = 1", [sealed.pk])
    assert "does not follow" in found(sealed)[0].what


def test_a_chain_made_anew_is_found_by_what_was_kept_elsewhere(sealed, tmp_path):
    kept = tmp_path / "heads.json"
    kept.write_text(_said("seal", "--json"))
    _verify("--against", str(kept))
    with behind_its_back() as cursor:
        cursor.execute("DELETE FROM history_seal")
        cursor.execute("DELETE FROM history_entry WHERE id = %s", [an_entry(sealed).pk])
    chain.seal()
    assert chain.verify().findings == []
    told = json.loads(_verify("--json", "--against", str(kept), ends=1))
    assert any("kept elsewhere" in each["what"] for each in told["findings"])


def test_what_came_after_the_last_seal_is_held_by_its_own_digest_and_sealed_next(sealed):
    entry = an_entry(sealed, sealed=False)
    assert entry.pk > Seal.objects.of(sealed).latest("pk").last
    chain.seal()
    assert Seal.objects.of(sealed).latest("pk").last >= entry.pk
    checked = chain.verify()
    assert (checked.findings, checked.entries) == ([], checked.sealed)


def test_sealing_with_nothing_new_makes_no_seal(sealed):
    chain.seal()
    before = Seal.objects.every_shop().count()
    chain.seal()
    assert Seal.objects.every_shop().count() == before


def test_the_command_says_what_it_looked_at(sealed):
    told = json.loads(_verify("--json"))
    assert told["findings"] == [] and told["tables_not_told"] == []
    assert told["entries"] == Entry.objects.every_shop().count()


def test_the_command_ends_with_one_where_something_was_touched(sealed):
    entry = an_entry(sealed)
    with behind_its_back() as cursor:
        cursor.execute("UPDATE history_entry SET record = '0' WHERE id = %s", [entry.pk])
    assert f"Shop {sealed.pk}, entry {entry.pk}: changed." in _verify(ends=1)


def _said(*words):
    out = StringIO()
    call_command(*words, stdout=out)
    return out.getvalue()


def _verify(*words, ends=0):
    out = StringIO()
    try:
        call_command("verify_audit", *words, stdout=out)
    except SystemExit as ended:
        assert ended.code == ends
    else:
        assert ends == 0
    return out.getvalue()
