"""A shop's photometric files: put in as a file or as text, read or refused by line, drawn, chosen on a light's type."""

import hashlib
import html
import re
from math import cos, pi, radians
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from layout.engine.lengths import inches
from layout.engine.light import lobe
from projects.catalogue.models import FixtureType, PhotometricFile
from projects.catalogue.photometric import emitter_of, file_label
from projects.catalogue.services import stock_catalog
from projects.platform.permissions import Role
from tests.engine.light_file_texts import eulumdat_of
from tests.factories import FixtureTypeFactory, PhotometricFileFactory, ShopFactory, lm63_text
from tests.shops import on_page

FINE = tuple(range(0, 91, 5))
COSINES = (1, .99619470, .98480775, .96592583, .93969262, .90630779, .86602540, .81915204, .76604444, .70710678,
           .64278761, .57357644, .5, .42261826, .34202014, .25881905, .17364818, .08715574, 0)  # fmt: skip


def lambert(label="Invented", peak_cd=1000):
    """Candelas of a flat bright opening in steps of 5 degrees: they fall as the cosine, so the flux is pi x peak."""
    return lm63_text(label, peak_cd, FINE, COSINES)


def page():
    return reverse("photometric_files")


def address(record):
    return reverse("photometric_file", args=[record.pk])


def put_in(client, given=None, *, called="downlight.ies", text="", name=""):
    data = {"text": text, "name": name}
    if given is not None:
        data["file"] = SimpleUploadedFile(called, given if isinstance(given, bytes) else given.encode())
    return client.post(page(), data)


def only(shop):
    return PhotometricFile.objects.of(shop).get()


def read(answer):
    return html.unescape(re.sub(r"<[^>]+>", " ", answer.content.decode()))


# Put in


def test_a_file_is_read_and_kept_as_it_was_given(owner, shop):
    given = lambert()
    answer = put_in(owner, given)
    kept = only(shop)
    assert answer.url == address(kept)
    assert (kept.name, kept.file_name, kept.format, kept.text) == ("downlight", "downlight.ies", "LM-63-2002", given)
    assert kept.digest == hashlib.sha256(given.strip().encode()).hexdigest()
    assert float(kept.flux_lm) == pytest.approx(pi * 1000, rel=2e-3)  # closed form; lines between angles lose a little
    assert float(kept.beam_deg) == pytest.approx(120, abs=0.1)  # cos 60 is one half
    assert kept.watts == 10


def test_its_text_may_be_pasted(owner, shop):
    put_in(owner, text=lambert(), name="Bench light")
    assert only(shop).name == "Bench light"


@pytest.mark.parametrize("ends", ["\r\n", "\r"])
def test_the_same_file_is_kept_once_however_its_lines_end(owner, shop, ends):
    put_in(owner, lambert())
    kept = only(shop)
    again = put_in(owner, lambert().replace("\n", ends), called="another.ies")
    assert again.url == address(kept)
    assert only(shop) == kept


def test_another_shop_keeps_its_own(owner, shop):
    PhotometricFileFactory(text=lambert())
    put_in(owner, lambert())
    assert only(shop).shop == shop


def test_a_latin_letter_of_an_old_file_is_no_reason_to_refuse_it(owner, shop):
    put_in(owner, lambert("Café").encode("latin-1"))
    assert "Café" in owner.get(address(only(shop))).content.decode()


@pytest.mark.parametrize("given", [None, b"", b"   \r\n"])
def test_nothing_given_is_asked_for(owner, shop, given):
    assert put_in(owner, given).status_code == 422
    assert not PhotometricFile.objects.of(shop).exists()


def test_a_file_and_a_text_are_one_too_many(owner, shop):
    answer = put_in(owner, lambert(), text=lambert())
    assert set(answer.context["form"].errors) == {"text"}
    assert not PhotometricFile.objects.of(shop).exists()


SAMPLES = Path(__file__).parents[1] / "outside" / "photometric"
EXACT = {  # integrals in closed form of the intensities the files were written from; 5-degree tables read 0.1 % off
    "lambert_1995.ies": ("LM-63-1995", 1000),
    "cos_2002_abs_mult.ies": ("LM-63-2002", 471.239),
    "noversion_1986_tilt.ies": ("LM-63-1986", 950),
}


@pytest.mark.parametrize("name", EXACT)
def test_open_files_of_several_editions_go_in_whole(owner, shop, name):
    edition, flux = EXACT[name]
    answer = put_in(owner, (SAMPLES / name).read_bytes(), called=name)
    kept = only(shop)
    assert float(kept.flux_lm) == pytest.approx(flux, rel=2e-3)
    said = read(owner.get(answer.url))
    assert edition in said and f"{kept.flux_lm:,.0f}" in said


def test_the_other_open_layout_goes_in_the_same_way(owner, shop):
    """EULUMDAT counts per 1000 lm: a lobe of cosines with 1000 lm has 1000 / pi = 318.31 cd straight down."""
    given = eulumdat_of(lambda vertical, _plane: 1000 / pi * cos(radians(vertical)))
    answer = put_in(owner, given, called="light.ldt")
    kept = only(shop)
    assert (kept.format, kept.watts) == ("EULUMDAT", 12)
    assert float(kept.flux_lm) == pytest.approx(1000, rel=2e-3)
    assert "318 cd" in read(owner.get(answer.url))
    saved = owner.get(reverse("photometric_text", args=[kept.pk]))
    assert "light.ldt" in saved["Content-Disposition"] and saved.content.decode() == given


def test_a_broken_file_of_the_other_layout_is_told_by_line_too(owner, shop):
    given = eulumdat_of(lambda vertical, _plane: 300).splitlines()
    answer = put_in(owner, "\n".join([*given[:-1], "abc"]), called="light.ldt")
    assert answer.context["refused"].line == len(given)
    assert not PhotometricFile.objects.of(shop).exists()


# Refused: what hostile files are answered. Nothing is stored of any.

BROKEN = {
    "36 candelas where 37 were declared": (lambert().replace(" 0\n", "\n", 1), ["19", "line"]),
    "one number too many": (lambert().rstrip() + " 5\n", ["line"]),
    "a candela that is no number": (lambert().replace("1000 ", "NaN ", 1), ["NaN"]),
    "a candela no float holds": (lambert().replace("1000 ", "1e400 ", 1), ["1e400"]),
    "a negative candela": (lambert().replace("1000 ", "-1000 ", 1), ["-1000"]),
    "a billion angles": (lambert().replace(" 19 1 1 2 ", " 1000000000 1 1 2 "), ["1000000000"]),
    "angles that fall": (lambert().replace("0 5 10", "0 10 5"), ["rise"]),
    "angles that begin at 5": (lambert().replace("0 5 10", "1 5 10"), ["0 or 90"]),
    "photometry of type B": (lambert().replace(" 19 1 1 2 ", " 19 1 2 2 "), ["type B"]),
    "photometry of type A": (lambert().replace(" 19 1 1 2 ", " 19 1 3 2 "), ["type A"]),
    "tilt in another file": (lambert().replace("TILT=NONE", "TILT=../../etc/passwd"), ["tilt data"]),
    "no tilt line": (lambert().replace("TILT=NONE\n", ""), ["TILT="]),
    "a multiplier of 0": (lambert().replace("1 -1 1 19", "1 -1 0 19"), ["multiplier"]),
    "a multiplier of a million": (lambert().replace("1 -1 1 19", "1 -1 1000000 19"), ["multiplier"]),
    "units of 3": (lambert().replace(" 19 1 1 2 ", " 19 1 1 3 "), ["units"]),
    "a picture": ("\x89PNG\r\n\x1a\n\x00\x00", ["line"]),
    "no light at all": (lambert(peak_cd=0), ["0"]),
    "words": ("Dear all, please find the file attached.", ["TILT="]),
}


@pytest.mark.parametrize("case", BROKEN)
def test_a_broken_file_is_told_by_line_and_nothing_is_kept(owner, shop, case):
    text, says = BROKEN[case]
    answer = put_in(owner, text.encode("latin-1"))
    assert answer.status_code == 422
    said = read(answer)
    assert [word for word in says if word.lower() not in said.lower()] == []
    assert answer.context["refused"].line >= 1
    assert not PhotometricFile.objects.of(shop).exists()


def test_the_line_at_fault_is_shown_between_its_neighbors_and_the_text_is_kept(owner):
    text = lambert().replace("1000 ", "abc ", 1)
    answer = put_in(owner, text)
    refused = answer.context["refused"]
    assert refused.token == "abc" and "candelas" in refused.expected
    assert (refused.line, text.splitlines()[refused.line - 1].split()[0]) == (11, "abc")
    assert [number for number, _line in refused.lines] == [9, 10, 11]
    assert html.unescape(answer.content.decode()).count("0 5 10 15") >= 2  # between its neighbors, and in the box
    assert answer.context["form"]["text"].value() == text


def test_a_mended_file_goes_in_though_the_broken_ones_text_still_stands_in_the_box(owner, shop):
    broken = lambert().replace("TILT=NONE", "TILT=SOME")
    shown = on_page(put_in(owner, broken), "text")
    assert shown["text"].strip()
    sent = shown | {"file": SimpleUploadedFile("downlight.ies", lambert().encode())}
    assert owner.post(page(), sent).status_code == 302
    assert only(shop)


def test_what_was_changed_in_the_box_is_not_thrown_away_for_a_file(owner, shop):
    shown = on_page(put_in(owner, lambert().replace("TILT=NONE", "TILT=SOME")), "text")
    sent = shown | {"text": lambert("Mine"), "file": SimpleUploadedFile("downlight.ies", lambert().encode())}
    assert "A file was chosen as well." in owner.post(page(), sent).content.decode()


def test_a_pasted_text_stays_in_its_box(owner):
    text = lambert().replace("1000 ", "abc ", 1)
    answer = put_in(owner, text=text, name="Bench")
    assert answer.context["form"]["text"].value() == text
    assert answer.context["form"]["name"].value() == "Bench"


def test_a_file_too_large_is_refused_before_it_is_read(owner, shop, monkeypatch):
    monkeypatch.setattr("projects.catalogue.photometric.keep_file", lambda *args, **kwargs: pytest.fail("read"))
    answer = put_in(owner, b"1 " * 1_000_001)
    assert "2 MB" in read(answer)
    assert answer.status_code == 422


def test_a_light_brighter_than_any_is_refused(owner, shop):
    answer = put_in(owner, lambert(peak_cd=1e7))
    assert "multiplier" in read(answer)
    assert not PhotometricFile.objects.of(shop).exists()


# Names of files

HOSTILE_NAMES = {
    "../../etc/passwd.ies": "passwd.ies",
    "C:\\lights\\x.ies": "x.ies",
    "a\0.ies": "a.ies",
    ".htaccess": "htaccess",
    "gpj\u202eexe.ies": "gpjexe.ies",
    "a\r\nSet-Cookie: x.ies": "aSet-Cookie: x.ies",
    "x" * 400: "x" * 120,
    "": "",
}


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_a_files_name_is_a_label_and_nothing_more(name):
    assert file_label(name) == HOSTILE_NAMES[name]


@pytest.mark.parametrize("name", ["../../x.ies", "a\r\nb.ies", "日本.ies", "CON", "‮exe.ies", 'a";b.ies', ".htaccess"])
def test_it_is_given_back_to_be_saved_and_never_shown(owner, shop, name):
    kept = PhotometricFileFactory(shop=shop, file_name=file_label(name), text="<script>alert(1)</script>")
    answer = owner.get(reverse("photometric_text", args=[kept.pk]))
    assert answer.content.decode() == kept.text
    assert answer["Content-Type"] == "text/plain; charset=utf-8"
    assert answer["X-Content-Type-Options"] == "nosniff"
    told = answer["Content-Disposition"]
    assert told.startswith("attachment; filename") and ".ies" in told
    assert not set("\r\n/\\") & set(told.replace("\\\"", ""))


# Shown


def test_the_page_tells_what_the_light_does(owner, shop):
    kept = PhotometricFileFactory(shop=shop, text=lambert())
    said = " ".join(read(owner.get(address(kept))).split())
    for figure in ("1,000 cd", "120°", "LM-63-2002", "absolute"):
        assert figure in said, figure
    # Lambertian, closed form: spacing criterion 1.29 in a row, 1.41 in a square (IES definition, worked by hand).
    assert "in a row 1.29, in a square 1.41: at most 1.29" in said
    # Zones of a cosine: lumens between two angles are pi I0 (sin2 b - sin2 a), so 0-30 has a quarter of all.
    assert "10–20° 272.6 8.7 %" in said or "10–20° 272.7 8.7 %" in said
    zones = owner.get(address(kept)).context["shown"].light.zones
    assert sum(zone.percent for zone in zones[:3]) == pytest.approx(25, abs=0.05)
    assert sum(zone.percent for zone in zones) == pytest.approx(100)
    assert "round, 0.1 m wide, 0.1 m long" in said


def test_the_utilization_table_has_the_flat_rooms_limit(owner, shop):
    """A cavity of ratio 0 with a floor of 20 %: all light falls on it, and 1 / (1 - 0.2 x ceiling) of it in the end."""
    kept = PhotometricFileFactory(shop=shop, text=lambert())
    table = owner.get(address(kept)).context["shown"].light.utilization
    assert table.at(0, 0.8, 0.5) == pytest.approx(1 / (1 - 0.2 * 0.8), abs=5e-3)
    assert table.at(0, 0.0, 0.5) == pytest.approx(1, abs=5e-3)
    assert table.at(5, 0.8, 0.5) > table.at(5, 0.8, 0.1)


def test_the_curve_is_drawn_and_stands_as_a_table_too(owner, shop):
    kept = PhotometricFileFactory(shop=shop, text=lambert())
    answer = owner.get(address(kept))
    said = answer.content.decode()
    assert said.count("<polyline") == 1  # the same all round
    assert "<title" in said and "<desc" in said and "style=" not in said
    rows = {row.vertical_deg: row.candela for row in answer.context["shown"].light.table.rows}
    assert rows[60] == pytest.approx((500,)) and rows[90] == pytest.approx((0,), abs=1e-9)


def test_a_light_that_differs_all_round_has_two_curves(owner, shop):
    text = lambert().replace(" 19 1 1 2 ", " 19 3 1 2 ").rstrip()
    body, candelas = text.rsplit("\n", 1)
    body = body.removesuffix("\n0") + "\n0 45 90\n"
    half = " ".join(f"{500 * share:g}" for share in COSINES)
    kept = PhotometricFileFactory(shop=shop, text=f"{body}{candelas}\n{candelas}\n{half}\n")
    answer = owner.get(address(kept))
    assert answer.content.decode().count("<polyline") == 2
    assert answer.context["shown"].light.table.planes == (0, 90, 180, 270)


def test_what_a_file_says_of_itself_is_only_ever_text(owner, shop):
    kept = PhotometricFileFactory(
        shop=shop, text=lambert("<svg onload=alert(1)>{{7*7}}\u202e"), name='"><script>alert(1)</script>'
    )
    said = owner.get(address(kept)).content.decode()
    assert "<svg onload" not in said and "<script>alert" not in said and "\u202e" not in said
    assert "{{7*7}}" in said


def test_a_file_the_reader_refuses_by_now_says_so_on_its_page(owner, shop):
    kept = PhotometricFileFactory(shop=shop, text="no light")
    answer = owner.get(address(kept))
    assert answer.status_code == 200
    assert "can't be read any more" in html.unescape(answer.content.decode())


# Its name, and where it is used


def test_it_is_renamed_and_no_longer_offered(owner, shop):
    kept = PhotometricFileFactory(shop=shop, text=lambert())
    light = FixtureTypeFactory(shop=shop)
    used = FixtureTypeFactory(shop=shop, photometric=kept)
    owner.post(address(kept), {"name": "Old downlight", "retired": "on", "version": 1})
    kept.refresh_from_db()
    assert (kept.name, kept.retired, kept.version) == ("Old downlight", True, 2)
    offered = [
        list(owner.get(reverse("fixture_type", args=[one.pk])).context["form"].fields["photometric"].queryset)
        for one in (light, used)
    ]
    assert offered == [[], [kept]]


def test_a_stale_name_is_shown_beside_the_stored_one(owner, shop):
    kept = PhotometricFileFactory(shop=shop, text=lambert())
    PhotometricFile.objects.of(shop).update(version=5, name="Theirs")
    answer = owner.post(address(kept), {"name": "Mine", "version": 1})
    assert answer.status_code == 409
    assert "Mine" in read(answer) and "Theirs" in read(answer)


def choose(client, light, **changes):
    where = reverse("fixture_type", args=[light.pk])
    return client.post(where, on_page(client.get(where), "cutout") | changes)


def test_a_lights_type_takes_a_file_and_draws_it(owner, shop):
    kept = PhotometricFileFactory(shop=shop, text=lambert())
    light = FixtureTypeFactory(shop=shop)
    assert choose(owner, light, photometric=kept.pk).status_code == 302
    light.refresh_from_db()
    assert light.photometric == kept
    assert emitter_of(light).flux_lm == pytest.approx(pi * 1000, rel=2e-3)
    said = owner.get(reverse("fixture_type", args=[light.pk])).content.decode()
    assert "<polyline" in said and "By its photometric file" in said
    assert light.name in owner.get(address(kept)).content.decode()


def test_without_a_file_a_light_is_a_lobe_and_marked_so(owner, shop):
    light = FixtureTypeFactory(shop=shop, lumens=900, beam_deg=60, aperture=inches(4))
    said = owner.get(reverse("fixture_type", args=[light.pk])).content.decode()
    assert "Lobe from beam and lumens, no file" in said and "<polyline" in said
    emitter = emitter_of(light)
    assert isinstance(emitter, lobe.Lobe) and emitter.flux_lm == pytest.approx(900)
    assert (emitter.opening.width, emitter.opening.round) == (pytest.approx(0.1016), True)


def test_a_light_of_which_nothing_is_known_says_what_it_would_take(owner, shop):
    light = FixtureTypeFactory(shop=shop, lumens=None, beam_deg=None)
    assert emitter_of(light) is None
    assert "give lumens and beam" in read(owner.get(reverse("fixture_type", args=[light.pk])))


def test_a_speaker_has_no_photometric_file_and_a_light_no_sensitivity(owner, shop):
    kept = PhotometricFileFactory(shop=shop, text=lambert())
    light, speaker = FixtureTypeFactory(shop=shop), FixtureTypeFactory(shop=shop, kind="speaker")
    assert set(choose(owner, speaker, photometric=kept.pk).context["form"].errors) == {"photometric"}
    assert set(choose(owner, light, sensitivity_db="88").context["form"].errors) == {"sensitivity_db"}


def test_a_speakers_level_is_kept_with_how_it_was_measured(owner, shop):
    speaker = FixtureTypeFactory(shop=shop, kind="speaker")
    choose(owner, speaker, sensitivity_db="88.5", sensitivity_at="2v83", measured_in="half", power_watts="60")
    speaker.refresh_from_db()
    assert (float(speaker.sensitivity_db), speaker.sensitivity_at, speaker.measured_in) == (88.5, "2v83", "half")
    assert speaker.power_watts == 60


def test_another_shops_file_is_no_choice(owner, shop):
    theirs = PhotometricFileFactory(text=lambert())
    light = FixtureTypeFactory(shop=shop)
    assert set(choose(owner, light, photometric=theirs.pk).context["form"].errors) == {"photometric"}


def test_a_new_shops_types_have_what_light_and_sound_stand_on(db):
    """Generic values: common practice, no source."""
    shop = ShopFactory()
    stock_catalog(shop)
    types = FixtureType.objects.of(shop)
    assert not [one for one in types if one.kind == "light" and not emitter_of(one)]
    assert not [one for one in types if one.kind != "light" and not (one.sensitivity_db and one.power_watts)]
    assert not [one for one in types if one.kind == "light" and (one.sensitivity_db or one.power_watts)]


# Bounds


@pytest.mark.parametrize("wrong", [{"flux_lm": -1}, {"flux_lm": 2e7}, {"beam_deg": 400}, {"watts": -1}])
def test_a_number_no_light_has_is_not_stored(shop, wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        PhotometricFileFactory(shop=shop, **wrong)


def test_the_same_digest_is_not_stored_twice_in_a_shop(shop):
    PhotometricFileFactory(shop=shop, text=lambert())
    with pytest.raises(IntegrityError), transaction.atomic():
        PhotometricFileFactory(shop=shop, text=lambert())


def queries_of(client, where):
    client.get(where)
    with CaptureQueriesContext(connection) as seen:
        client.get(where)
    return len(seen)


def test_a_long_list_costs_no_more_queries_than_a_short_one_and_brings_no_text(owner, shop):
    PhotometricFileFactory(shop=shop)
    few = queries_of(owner, page())
    PhotometricFileFactory.create_batch(120, shop=shop)
    assert queries_of(owner, page()) == few
    with CaptureQueriesContext(connection) as seen:
        answer = owner.get(page())
    assert "Page 1 of 2" in read(answer)
    assert not [query for query in seen if '"text"' in query["sql"]]


def test_a_file_used_by_many_types_costs_no_more_queries(owner, shop):
    kept = PhotometricFileFactory(shop=shop, text=lambert())
    FixtureTypeFactory(shop=shop, photometric=kept)
    few = queries_of(owner, address(kept))
    FixtureTypeFactory.create_batch(70, shop=shop, photometric=kept)
    assert queries_of(owner, address(kept)) == few
    assert "and more" in read(owner.get(address(kept)))


# Who


def test_the_crew_reads_and_does_not_write(as_role, shop):
    kept = PhotometricFileFactory(shop=shop, text=lambert())
    crew = as_role(Role.CREW)
    assert crew.get(address(kept)).status_code == 200
    assert put_in(crew, lambert("Other")).status_code == 403
    assert crew.post(address(kept), {"name": "Mine", "version": 1}).status_code == 403
