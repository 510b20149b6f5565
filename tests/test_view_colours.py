"""PUBLISHED: contrast ratios and limits (WCAG 2.2, success criteria 1.4.3 and 1.4.11)."""

import numpy as np
import pytest
from tolerances import printed

from swimsim.ground.errors import InputError
from swimsim.ground.records import Marks
from swimsim.view.colours import THEMES, contrast, luminance, mix, rgb, theme_named
from swimsim.view.figure import ink_for

DIMMED = 2.0  # least ratio of limbs that stand back: our own rule, between 1.4.11 and unseen
LIT_OVER_DIMMED = 1.5  # and of the lit limb against them, which is also nearly half as wide again
TEXT, GRAPHICS = 4.5, 3.0  # least ratios: WCAG 2.2, 1.4.3 and 1.4.11


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
