"""HAND-COUNTED: colours of small pictures; SECOND METHOD: files read by Pillow; INVARIANT: meaning, notes, times."""

import numpy as np
import pytest
from PIL import Image, ImageSequence, PngImagePlugin

from swimsim.ground.errors import InputError
from swimsim.view.colours import THEMES
from swimsim.view.few_colours import MEANT, few_colours_gif, few_colours_png
from swimsim.view.palette import Palette
from swimsim.view.writer import write_gif

LIGHT = THEMES["light"]


def ramp(mark=LIGHT.band) -> np.ndarray:
    """A smooth picture of 128 x 64 with one small field of the target's green on white."""
    picture = np.empty((64, 128, 3), np.uint8)
    across = np.arange(128)
    picture[..., 0], picture[..., 1], picture[..., 2] = 120 + across // 2, 90, 200 - across
    picture[:8] = LIGHT.page
    picture[2:5, 2:6] = mark
    return picture


@pytest.fixture
def png(tmp_path):
    """The smooth picture with a note and a size on paper."""
    note = PngImagePlugin.PngInfo()
    note.add_text("Description", "a note")
    path = tmp_path / "one.png"
    Image.fromarray(ramp()).save(path, pnginfo=note, dpi=(96, 96))
    return path


@pytest.fixture
def gif(tmp_path):
    """Four pictures at 8 a second, a bar that moves over the smooth picture."""
    pictures = [ramp() for _ in range(4)]
    for i, picture in enumerate(pictures):
        picture[20:40, 20 * i : 20 * i + 10] = LIGHT.fault
    path = tmp_path / "one.gif"
    write_gif(path, pictures, size=(128, 64), fps=8, palette=Palette.of(pictures))
    return path


def test_a_png_has_few_colours_and_is_smaller_with_its_notes(png):
    before = png.stat().st_size
    few_colours_png(png, 12)
    with Image.open(png) as picture:
        assert (picture.mode, picture.size, picture.text) == ("P", (128, 64), {"Description": "a note"})
        assert picture.info["dpi"][0] == pytest.approx(96, abs=0.1)
        colours = picture.convert("RGB").getcolors()
    assert 4 < len(colours) <= 12
    assert png.stat().st_size < before


def test_colours_with_a_meaning_stay_exact_however_small_their_field(png, gif):
    """12 of 8192 pixels are the green of the target."""
    few_colours_png(png, len(MEANT) + 2)
    few_colours_gif(gif, len(MEANT) + 2)
    for path in (png, gif):
        with Image.open(path) as picture:
            seen = {colour: count for count, colour in picture.convert("RGB").getcolors()}
        assert seen[LIGHT.band] == 12
        assert seen[LIGHT.page] == 8 * 128 - 12
    assert seen[LIGHT.fault] == 200


def test_a_colour_that_is_not_kept_is_lost_among_larger_fields(png):
    few_colours_png(png, 2, keep=())
    with Image.open(png) as picture:
        assert LIGHT.band not in {colour for _, colour in picture.convert("RGB").getcolors()}


def test_a_gif_keeps_its_pictures_and_their_time_and_stays_endless(gif):
    before = gif.stat().st_size
    few_colours_gif(gif, 12)
    with Image.open(gif) as clip:
        times = [picture.info["duration"] for picture in ImageSequence.Iterator(clip)]
        clip.seek(3)
        bar = np.array(clip.convert("RGB"))[20:40, 60:70]
        assert clip.info["loop"] == 0
    assert len(times) == 4
    assert sum(times) == pytest.approx(500, abs=20)  # 4 at 8 a second, in whole hundredths each
    assert (bar == LIGHT.fault).all()
    assert gif.stat().st_size < before


def test_other_pictures_per_second_are_taken(gif):
    few_colours_gif(gif, 12, fps=5)
    with Image.open(gif) as clip:
        assert {picture.info["duration"] for picture in ImageSequence.Iterator(clip)} == {200}


@pytest.mark.parametrize("count", [len(MEANT), 256])
def test_too_few_or_too_many_colours_are_refused_and_the_file_stays(png, gif, count):
    for write, path in ((few_colours_png, png), (few_colours_gif, gif)):
        before = path.read_bytes()
        with pytest.raises(InputError, match=f"count: expected {len(MEANT) + 1} to 255, got {count}"):
            write(path, count)
        assert path.read_bytes() == before
