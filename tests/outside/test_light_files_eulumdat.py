"""EULUMDAT files against another reader of the format, eulumdat-py 1.0.0 (MIT), which unfolds each symmetry its way."""

import numpy as np
import pyldt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.engine.light import eulumdat, lm63
from tests.engine.light_file_texts import eulumdat_of, text_of

STORED = {
    0: lambda planes: planes,
    1: lambda planes: planes[:1],
    2: lambda planes: planes[: len(planes) // 2 + 1],
    3: lambda planes: (*planes[3 * len(planes) // 4 :], *planes[: len(planes) // 4 + 1]),
    4: lambda planes: planes[: len(planes) // 4 + 1],
}


@st.composite
def lights(draw):
    symmetry = draw(st.sampled_from(sorted(STORED)))
    planes = tuple(float(angle) for angle in np.arange(0, 360, draw(st.sampled_from([10, 15, 22.5, 30, 90]))))
    vertical = tuple(np.arange(0, draw(st.sampled_from([90, 180])) + 0.1, draw(st.sampled_from([2.5, 5, 15]))))
    stored = STORED[symmetry](planes)
    table = np.random.default_rng(draw(st.integers(0, 2**32 - 1))).uniform(0, 900, (len(stored), len(vertical)))
    rows = {(v, h): table[j, i].round(2) for j, h in enumerate(stored) for i, v in enumerate(vertical)}
    lumens = draw(st.sampled_from([500, 1000, 3150]))
    made = eulumdat_of(
        lambda v, h: rows[v, h], symmetry=symmetry, planes=planes, stored=stored, vertical=vertical, lumens=lumens
    )
    return made, planes, vertical, lumens


@settings(max_examples=40)
@given(lights())
def test_both_readers_unfold_every_symmetry_alike(tmp_path_factory, light):
    text, planes, vertical, lumens = light
    path = tmp_path_factory.mktemp("lights") / "one.ldt"
    path.write_bytes(text.encode("latin-1"))
    theirs = np.array(pyldt.LdtReader.read(path).intensities) * lumens / 1000
    ours = eulumdat.read(text).photometry
    down, around = np.meshgrid(vertical, planes)
    assert ours.candela(down, around) == pytest.approx(theirs, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("lumens", [-1, 1000])
def test_the_same_light_in_either_format_has_the_same_flux(lumens):
    """The same table per 1000 lm of a 1000 lm lamp and as candelas: the formats differ in words only."""

    def light(vertical, horizontal):
        return 400 * max(np.cos(np.radians(vertical)), 0) ** 3 * (1 + abs(horizontal - 90) / 90)

    quarter = (0, 30, 60, 90)
    one = lm63.read(text_of(light, horizontal=quarter, lumens=lumens)).photometry
    other = eulumdat.read(
        eulumdat_of(light, symmetry=4, planes=range(0, 360, 30), stored=quarter, lamps=-1 if lumens == -1 else 1)
    ).photometry
    assert other.flux_lm == pytest.approx(one.flux_lm, rel=1e-12)
