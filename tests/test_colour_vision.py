"""PUBLISHED: matrices of deficient colour vision and the just noticeable difference; SECOND METHOD: coloraide.

FAULT and CORRECT must stay apart for every eye: by colour where colour can do it, and in grey by dashes, by
squares against discs, and by their words (whose letters `test_view_colours.py` measures). All is measured on
the pixels of drawn stills, not on the colours that the code names.
"""

from dataclasses import replace
from functools import partial
from itertools import pairwise

import numpy as np
import pytest
from PIL import Image
from played_faults import FAULTS
from scipy import ndimage
from seen_colours import (
    DEFICIENT,
    cover,
    drawn,
    full_colour,
    lab,
    letters,
    linear,
    panels_of,
    ratio,
    simulated,
)
from tolerances import printed

from swimsim.view.clock import Clock, shot_of
from swimsim.view.colours import THEMES, rgb
from swimsim.view.sampling import hermite
from swimsim.view.scene import Scene

EYES = ("normal", *DEFICIENT)
#: Least difference that is seen side by side, CIE 1976: Mahy, Van Eycken, Oosterlinck 1994, Color Res Appl 19:105.
NOTICEABLE = 2.3
#: Ten times that: two colours that are not side by side, on thin lines and at a distance, must differ by far more
#: than can just be seen. Our own choice of the factor.
APART = 10 * NOTICEABLE
LARGE_TEXT = 3.0  # WCAG 2.2, 1.4.3, for the large words of the header strips
DASH_CONTRAST = 3.0  # a dash against its gap in grey: WCAG 2.2, 1.4.11
LEVEL = 0.5  # of the levels 0..255: rounding of a colour
COLOUR_LEVELS = 0.02  # matrices and white points printed with four digits against those with all
BONE_PX, END_PX = 36.0, 9.0  # shortest bone looked at, and what the joint's own mark covers at each end [px]
#: A bone of sticks has few, wide dashes, and in the views from the front the upper arm alone is long enough.
FEWEST_GAPS = {"solid": 2, "stick": 1}
#: Faults told by a line over the body: their own chain lies across the trunk, or is the short neck alone.
LINED = ("flat_hips", "shoulder_driven", "double_bump", "over_rotation", "head_lift", "asymmetry")
SQUARE, DISC = 1.0, np.pi / 4  # share of its bounding box that a square and a disc fill, by hand
EDGE_SHARE = (
    0.12  # anti-aliased rim of a marker of 18 px: one pixel around of half strength, 2 x 18 / 18 ** 2
)


def sample(count=300):
    return np.random.default_rng(5).integers(0, 256, (count, 3))


@pytest.mark.parametrize("kind", DEFICIENT)
def test_colour_vision_against_a_general_library(kind):
    colours = pytest.importorskip("coloraide").Color
    told = [
        colours("srgb", list(c / 255)).filter(kind, method="machado").convert("srgb").clip().coords()
        for c in sample()
    ]
    assert np.abs(simulated(sample(), kind) - 255 * np.array(told)).max() < COLOUR_LEVELS


def test_colour_difference_against_a_general_library():
    colours = pytest.importorskip("coloraide").Color
    one, other = sample(), sample()[::-1]
    mine = np.linalg.norm(lab(one) - lab(other), axis=1)
    pairs = [
        (colours("srgb", list(a / 255)), colours("srgb", list(b / 255)))
        for a, b in zip(one, other, strict=True)
    ]
    told = [a.delta_e(b, method="76", space="lab-d65") for a, b in pairs]
    assert np.abs(mine - told).max() < 10 * COLOUR_LEVELS


@pytest.mark.parametrize("kind", DEFICIENT)
def test_grey_stays_grey(kind):
    """Every row of a published matrix sums to one, to its printed digits."""
    assert np.abs(DEFICIENT[kind].sum(axis=1) - 1).max() < 3 * printed("0.000001")
    greys = np.repeat(np.arange(256)[:, None], 3, axis=1)
    assert np.abs(simulated(greys, kind) - greys).max() < LEVEL


def test_the_simulation_finds_what_is_known_to_merge():
    """Red and green of like lightness, the pair that is never used, come nearer to each other by far."""
    red, green = np.array(rgb("#C04040")), np.array(rgb("#5A8A2A"))
    normal, deutan = (
        np.linalg.norm(lab(simulated(red, eye)) - lab(simulated(green, eye))) for eye in ("normal", "deutan")
    )
    assert normal > 80 and deutan < normal / 3


@pytest.mark.parametrize("style", ["solid", "stick"])
@pytest.mark.parametrize("theme", THEMES)
def test_fault_and_correct_differ_in_colour_for_every_eye(theme, style):
    """The colours really drawn: the middle of all pixels that are fully of the one, and of the other."""
    draw = partial(drawn, "dropped_elbow", style=style)
    seen = draw(theme)
    fault, correct = (full_colour(seen, cover(draw, THEMES[theme], role)) for role in ("fault", "correct"))
    assert np.abs(fault - THEMES[theme].fault).max() <= LEVEL
    assert np.abs(correct - THEMES[theme].correct).max() <= LEVEL
    for eye in EYES:
        assert np.linalg.norm(lab(simulated(fault, eye)) - lab(simulated(correct, eye))) >= APART, eye


@pytest.mark.parametrize("eye", DEFICIENT)
@pytest.mark.parametrize("theme", THEMES)
def test_the_words_of_the_headers_can_be_read_by_every_eye(theme, eye):
    draw = partial(drawn, "dropped_elbow")
    seen = simulated(draw(theme), eye)
    for role in ("on_fault", "on_correct"):
        assert letters(seen, cover(draw, THEMES[theme], role)).min() >= LARGE_TEXT


@pytest.mark.parametrize("theme", THEMES)
def test_in_grey_the_colours_alone_do_not_do_it(theme):
    """Why dashes, squares and words are needed: 1.34 to 1 and 1.02 to 1, worked out apart from this code."""
    told = {"light": "1.34", "dark": "1.02"}[theme]
    light = [lab(np.array(c)) for c in (THEMES[theme].fault, THEMES[theme].correct)]
    y = [((c[0] + 16) / 116) ** 3 for c in light]  # luminance out of L* (above 8)
    assert abs(ratio(*y) - float(told)) <= printed(told)


def grey_scene(name, theme, style):
    """A grey print of FAULT and CORRECT, and the pixels of the line in each that is broken for FAULT.

    That is the highlighted chain, without lines over the body; for the faults in LINED the line over the body that
    is drawn through both hips, both shoulders or the head.
    """
    panels, at, look = panels_of(name)
    lined = name in LINED
    if not lined:
        panels = [(trace, replace(marks, drawn=(), gauge=None)) for trace, marks in panels]
    look, clock = replace(look, theme=theme, style=style), Clock(np.array([at]))
    scene = Scene(list(panels), [clock.times_s] * 2, look=look)
    grey = np.asarray(Image.fromarray(next(scene.frames()).copy()).convert("L"), float)
    lines = []
    for panel, (trace, marks) in zip(scene.panels, panels, strict=True):
        shot, box = shot_of(trace, panel.cameras[0], clock), panel.boxes.views[0]
        line = shot.joints(marks.limb)[0]
        if lined:
            main = next(d for d in marks.drawn if d.kind == "line" and d.tone == "main")
            line = shot.see(hermite(trace.time_s, main.points_m, clock.times_s))[0]
        lines.append(line + (box.x, box.y))
    return grey, lines


def gaps_along(grey, start, end):
    """Gaps of a line in a grey picture, and the contrast of dashes and gaps; no gap if it runs through."""
    length = float(np.linalg.norm(end - start))
    if length < BONE_PX:
        return 0, []
    along = np.arange(END_PX, length - END_PX, 0.5)[:, None] / length
    points = start + along * (end - start)
    level = ndimage.map_coordinates(grey, points.T[::-1], order=1)
    light = linear(level)
    low, high = np.quantile(light, [0.1, 0.9])
    if ratio(high, low) < DASH_CONTRAST / 2:
        return 0, []
    bright = light > np.sqrt((low + 0.05) * (high + 0.05)) - 0.05
    changes = int(np.abs(np.diff(bright.astype(int))).sum())
    return (changes + 1) // 2, [float(ratio(np.median(light[bright]), np.median(light[~bright])))]


def gaps_of(grey, line):
    """Gaps of a broken line of several pieces, and the contrast in each piece that has any."""
    found = [gaps_along(grey, a, b) for a, b in pairwise(line)]
    return sum(n for n, _ in found), [c for _, some in found for c in some]


@pytest.mark.parametrize("style", FEWEST_GAPS)
@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("name", FAULTS)
def test_dashes_survive_in_grey(name, theme, style):
    """Along the projected line, in a grey print (ITU-R BT.601 luma by Pillow): FAULT is broken, CORRECT is not."""
    grey, (fault, correct) = grey_scene(name, theme, style)
    count, contrasts = gaps_of(grey, fault)
    assert count >= FEWEST_GAPS[style]
    assert np.median(contrasts) >= DASH_CONTRAST
    assert gaps_of(grey, correct)[0] == 0


@pytest.mark.parametrize("theme", THEMES)
def test_markers_differ_in_shape(theme):
    """The marker of the phase bar fills its box as a square, and as a disc: by hand 1 and pi / 4."""
    panels, at, look = panels_of("dropped_elbow")
    scene = Scene(list(panels), [np.array([at])] * 2, look=replace(look, theme=theme))
    filled = []
    for role, panel in zip(("fault", "correct"), scene.panels, strict=True):
        ink = panel.boxes.bar.cut(cover(partial(drawn, "dropped_elbow"), THEMES[theme], role))
        marked, count = ndimage.label(ink > 0.9)
        sizes = ndimage.sum_labels(np.ones_like(ink), marked, range(1, count + 1))
        rows, cols = ndimage.find_objects(marked)[int(np.argmax(sizes))]
        whole = (rows.stop - rows.start) * (cols.stop - cols.start)
        filled.append(sizes.max() / whole)
    assert abs(filled[0] - SQUARE) < EDGE_SHARE and abs(filled[1] - DISC) < EDGE_SHARE
    assert filled[0] - filled[1] > 0.5 * (SQUARE - DISC)
