"""INVARIANT: number and unit are whole and the largest words, at every size; HAND-COUNTED: what is dropped."""

import numpy as np
import pytest
from drawn_swimmer import marks_for, swimmer

from swimsim.ground.errors import InputError
from swimsim.ground.records import Marks
from swimsim.ground.words import fault_words, words_of
from swimsim.view.colours import THEMES
from swimsim.view.layout import LAYOUTS, Rows, page
from swimsim.view.lettering import text_width
from swimsim.view.number_line import draw, number_of, plan
from swimsim.view.scene import Look, Scene

SIZES = [(320, 180), (360, 360), (640, 360), (360, 640), (720, 1280), (1280, 720), (1920, 1080)]
#: Longest numbers that the words of each fault could be followed by.
NUMBERS = ("-148°", "+128 cm", "100 %")
WORDS = {slug: fault_words(slug) for slug in words_of("faults")}


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("fault", WORDS)
def test_number_and_unit_are_whole_and_the_largest(size, layout, fault):
    for number in NUMBERS:
        marks = [Marks(value=f"{WORDS[fault].number}: {number}", band=WORDS[fault].target)] * 2
        laid = page(size, layout, 1 if layout == "single" else 2)
        for line in plan(marks, laid):
            assert line.value in (number, marks[0].value), "whole, with or without its words"
            assert line.value_size >= line.band_size >= 8
            assert " ".join(line.band) == marks[0].band
            value = text_width(line.value, line.value_size, True)
            band = max(text_width(text, line.band_size) for text in line.band)
            assert max(value, band) < laid.panels[0].whole.w
            assert not line.beside or value + band < laid.panels[0].whole.w


def test_words_are_dropped_only_where_they_do_not_fit():
    marks = [Marks(value="palm from straight back at the hip: 66°", band="target: 35° or less")] * 2
    for size in ((640, 360), (1280, 720)):
        assert plan(marks, page(size, "side_by_side", 2))[0].value == marks[0].value
    assert plan(marks, page((360, 360), "side_by_side", 2))[0].value == "66°"


def test_both_panels_look_alike():
    """One with words that fit and one with words that do not: neither has them, in letters of one size."""
    long = Marks(value="the same measured in a very long-winded way: 7°", band="target 3°")
    short, other = plan([Marks(value="roll: 12°"), long], page((360, 360), "side_by_side", 2))
    assert (short.value, other.value) == ("12°", "7°") and short.value_size == other.value_size


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("forearm slope in the catch: 39°", "39°"),
        ("elbow with the hand 30 cm deep: 155°", "155°"),
        ("hips later than the shoulders: 15 % of the cycle", "15 % of the cycle"),
        ("hand line: +5.5 cm", "+5.5 cm"),
        ("forearm 25°", "25°"),
        ("12 cm", "12 cm"),
        ("no number: at all", "no number: at all"),
    ],
)
def test_number_of_a_text(text, number):
    assert number_of(text) == number


def test_all_of_it_is_inside_its_box():
    """Ink of number, swatch and target in a whole picture of 360 x 360: none outside the rows kept for them."""
    laid = page((360, 360), "side_by_side", 2, rows=Rows(numbers=2))
    box, theme = laid.panels[0].numbers, THEMES["light"]
    canvas = np.full((360, 360, 3), 255, np.uint8)
    marks = Marks(value="elbow with the hand 30 cm deep: 155°", band="target: 155° or less")
    (line, _) = plan([marks, marks], laid)
    draw(canvas, box, line, theme=theme, page=laid)
    rows, cols = np.nonzero((canvas < 200).any(-1))
    assert box.y <= rows.min() and rows.max() < box.y + box.h
    assert box.x <= cols.min() and cols.max() < box.x + box.w
    assert rows.max() >= box.y + box.h / 2 > rows.min(), "both rows are used"


def test_the_picture_keeps_room_for_the_rows():
    trace = swimmer(0.2)
    marks = marks_for(trace, fault=True)
    wordy = Marks(value="palm from straight back at the hip: 66°", band="target: 35° or less")
    heights = []
    for these in (Marks(word="FAULT"), marks, wordy):
        scene = Scene([(trace, these)] * 2, [np.zeros(1)] * 2, look=Look(size=(1280, 720)))
        heights.append(scene.page.panels[0].numbers.h)
    assert heights[0] == 0 < heights[1] < heights[2]


def test_a_number_that_cannot_be_shown_whole_is_refused():
    with pytest.raises(InputError, match=r"size: expected panels wide enough for '1{60}°'"):
        plan([Marks(value="sum: " + "1" * 60 + "°")], page((320, 180), "single", 1))
