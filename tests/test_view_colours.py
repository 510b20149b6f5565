"""PUBLISHED: contrast ratios and limits (WCAG 2.2, 1.4.3, 1.4.11), of the colours and of the pixels really drawn."""

from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from seen_colours import cover, drawn, edges, full_colour, letters, panels_of
from seen_colours import luminance as second_luminance
from seen_colours import ratio as second_ratio
from tolerances import printed

from swimsim.ground.errors import InputError
from swimsim.ground.records import Marks
from swimsim.view.cards import card_picture, caution_card
from swimsim.view.clip import ClipOptions, picture
from swimsim.view.colours import THEMES, contrast, luminance, mix, rgb, theme_named
from swimsim.view.figure import ink_for
from swimsim.view.parts import title_card
from swimsim.view.scene import Scene

DIMMED = 2.0  # least ratio of limbs that stand back: our own rule, between 1.4.11 and unseen
LIT_OVER_DIMMED = 1.5  # and of the lit limb against them, which is also nearly half as wide again
TEXT, GRAPHICS = 4.5, 3.0  # least ratios: WCAG 2.2, 1.4.3 and 1.4.11
#: Share of the edge of a thing that must reach its ratio: the rest is where two things of one colour touch (an arc
#: on its limb, the fill of an arc, a joint), which is no edge to the eye.
EDGE_SHARE = 0.90
PICTURES = ("dropped_elbow", "crossover", "flat_hips")  # from the side, from the front, with curves
#: Colours of a theme that words have, and the places where they stand with the fewest letters there: ticks and
#: percent, "Generated model, not a real person.", number and target, a word and a title; counted in the pictures.
WORDS = {
    "text": {"bar": 15, "footer": 28, "numbers": 30},
    "on_fault": {"header": 12},
    "on_correct": {"header": 20},
}
#: What carries meaning beside words: limb, marker and lines of each panel, target, water line.
SIGNS = ("fault", "correct", "band", "surface")


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#FFFFFF", "21.00"),  # the largest there is
        ("#777777", "#FFFFFF", "4.48"),  # the well-known grey that just fails
        ("#767676", "#FFFFFF", "4.54"),  # and the one that just passes
        ("#FF0000", "#FFFFFF", "4.00"),
        ("#0000FF", "#FFFFFF", "8.59"),
        ("#FFFFFF", "#FFFFFF", "1.00"),
    ],
)
def test_contrast_formula(one, other, ratio):
    assert abs(contrast(rgb(one), rgb(other)) - float(ratio)) <= printed(ratio)
    assert contrast(rgb(one), rgb(other)) == contrast(rgb(other), rgb(one))


@pytest.mark.parametrize(
    ("colour", "on_white", "on_light_water", "on_deep_water"),
    [
        ("#0072B2", "5.19", "4.49", "3.22"),
        ("#D55E00", "3.87", "3.35", "4.32"),
        ("#56B4E9", "2.31", "2.00", "7.23"),
        ("#E69F00", "2.25", "1.95", "7.41"),
        ("#009E73", "3.42", "2.97", "4.88"),
        ("#F0E442", "1.32", "1.15", "12.62"),
        ("#CC79A7", "3.06", "2.65", "5.45"),
        ("#000000", "21.00", "18.20", "1.26"),
    ],
)
def test_the_eight_safe_colours(colour, on_white, on_light_water, on_deep_water):
    """SECOND METHOD: worked out apart from this code, printed to two decimals; Okabe and Ito 2008."""
    grounds = {"#FFFFFF": on_white, "#E3F1F8": on_light_water, "#0B1F33": on_deep_water}
    for ground, told in grounds.items():
        assert abs(contrast(rgb(colour), rgb(ground)) - float(told)) <= printed(told)


def test_luminance_a_second_time():
    """SECOND METHOD: the formula of WCAG 2.2 written out once more, on whole arrays."""
    some = np.random.default_rng(3).integers(0, 256, (200, 3))
    assert np.abs(second_luminance(some) - [luminance(tuple(c)) for c in some]).max() < 1e-12


def test_luminance_ends():
    assert luminance((0, 0, 0)) == 0
    assert abs(luminance((255, 255, 255)) - 1) < 1e-12


@pytest.mark.parametrize("name", THEMES)
def test_words_can_be_read(name):
    theme = THEMES[name]
    for ground in (theme.page, theme.air, theme.water):
        assert contrast(theme.text, ground) >= TEXT
    assert contrast(theme.on_fault, theme.fault) >= TEXT
    assert contrast(theme.on_correct, theme.correct) >= TEXT


@pytest.mark.parametrize("name", THEMES)
def test_what_carries_meaning_can_be_seen(name):
    theme = THEMES[name]
    for line in (theme.fault, theme.correct, theme.plain, theme.surface, theme.arrow):
        for ground in (theme.air, theme.water):
            assert contrast(line, ground) >= GRAPHICS
    for colour in (theme.band, theme.fault, theme.correct):
        assert contrast(colour, theme.page) >= GRAPHICS


@pytest.mark.parametrize("name", THEMES)
@pytest.mark.parametrize("word", ["FAULT", "CORRECT", ""])
def test_limbs_that_stand_back_can_still_be_seen(name, word):
    """Near and far side, over water and air; and the lit limb stands out from both."""
    theme = THEMES[name]
    ink = ink_for(Marks(word, limb=("left_shoulder", "left_elbow")), theme)
    lit, near, far = (ink.tone(lit=a, far=b) for a, b in ((True, False), (False, False), (False, True)))
    for ground in (theme.water, theme.air):
        assert contrast(lit, ground) > contrast(near, ground) > contrast(far, ground) >= DIMMED
    assert contrast(lit, near) >= LIT_OVER_DIMMED


def test_a_theme_for_video_dims_alike():
    for theme in THEMES.values():
        assert (theme.in_video().dim, theme.in_video().dim_far) == (theme.dim, theme.dim_far)


def test_fault_is_never_red_against_green():
    for theme in THEMES.values():
        red, green, blue = theme.correct
        assert blue == max(red, green, blue)


def test_mix_and_names():
    assert mix((255, 0, 10), (0, 100, 10), 0.5) == (128, 50, 10)
    assert np.array_equal(mix((9, 8, 7), (1, 2, 3), 1.0), (9, 8, 7))
    with pytest.raises(InputError, match="did you mean 'light'"):
        theme_named("ligth")


def boxes_of(name):
    """The places of words in a picture, one box for each panel."""
    panels, at, look = panels_of(name)
    page = Scene(list(panels), [np.array([at])] * 2, look=look).page
    places = {place: [getattr(p, place) for p in page.panels] for place in ("header", "numbers", "bar")}
    return places | {"footer": [page.footer]}


@pytest.mark.parametrize("style", ["solid", "stick"])
@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("name", PICTURES)
def test_every_letter_drawn_can_be_read(name, theme, style):
    """Its most inked pixel against the middle of the pixels within 3 px around it that it does not touch."""
    draw = partial(drawn, name, style=style)
    seen = draw(theme)
    places = boxes_of(name)
    for role, fewest in WORDS.items():
        inked = cover(draw, THEMES[theme], role)
        assert letters(seen, inked).min() >= TEXT, role
        for place, count in fewest.items():
            found = max(len(letters(box.cut(seen), box.cut(inked))) for box in places[place])
            assert found >= count, (role, place)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("name", PICTURES)
def test_signs_drawn_stand_out_from_what_is_beside_them(name, theme):
    """Every fully inked pixel at the edge of limb, lines, marker, target and water line, within 4 px."""
    seen = drawn(name, theme)
    for role in SIGNS:
        found = edges(seen, cover(partial(drawn, name), THEMES[theme], role))
        assert len(found) > 100, role
        assert (found >= GRAPHICS).mean() >= EDGE_SHARE, role


@pytest.mark.parametrize("theme", THEMES)
def test_the_solid_body_stands_out_from_the_water(theme):
    """The rim of a swimmer with nothing highlighted; where water dims it, at the strength that water leaves."""
    ((trace, _), _), at, look = panels_of("dropped_elbow")

    def draw(colours):
        return picture([(trace, Marks())], at_s=at, options=ClipOptions(look=replace(look, theme=colours)))

    seen, rim = draw(theme), cover(draw, THEMES[theme], "outline")
    inked = rim > 0.9 * np.quantile(rim[rim > 0.5], 0.9)
    assert inked.sum() > 1000
    water = full_colour(seen, cover(draw, THEMES[theme], "water"))
    found = second_ratio(second_luminance(seen[inked]), second_luminance(water))
    assert np.quantile(found, 0.05) >= GRAPHICS


@pytest.mark.parametrize("size", [(1280, 720), (640, 360)])
@pytest.mark.parametrize("theme", THEMES)
def test_every_letter_of_a_card_can_be_read(theme, size):
    """The title card and the caution, of which every letter counts."""
    ((_, fault), (_, correct)), _, _ = panels_of("dropped_elbow")
    for card in (title_card([(None, fault), (None, correct)]), caution_card()):

        def draw(colours, card=card):
            return card_picture(card, size, colours)

        found = letters(draw(THEMES[theme]), cover(draw, THEMES[theme], "text"))
        assert len(found) > 0.8 * len("".join((card.heading, *card.lines, card.small)).replace(" ", ""))
        assert found.min() >= TEXT
