"""INVARIANT and SECOND METHOD: the name of a view can be read in every picture, whatever passes there."""

import xml.etree.ElementTree as ET

import numpy as np
import pytest
from drawn_swimmer import pair

from swimsim.view.cameras import VIEWS
from swimsim.view.clip import ClipOptions
from swimsim.view.colours import THEMES, contrast
from swimsim.view.furniture import ViewName
from swimsim.view.lettering import Letters, alpha
from swimsim.view.look import Look
from swimsim.view.scene import Scene
from swimsim.view.vector import svg

SIZE = (640, 360)
FROM_ABOVE = ("above_side", "above_front", "overhead")
TIMES = np.arange(12) / 10
READABLE = 4.5  # contrast of small letters (WCAG 2.2, 1.4.3)


def scene_of(view, theme="light", **more):
    look = Look(views=(view,), size=SIZE, theme=theme, trail=False, **more)
    return Scene(pair(2.0), [TIMES] * 2, look=look)


def words_of(scene):
    return [name.words for panel in scene.panels for name in panel.names if name]


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("view", FROM_ABOVE)
def test_nothing_passes_over_the_name_of_a_view_from_above(view, theme):
    """The plate is the same in every picture: letters in the colour of words on the colour of the page."""
    scene = scene_of(view, theme)
    names = [name for panel in scene.panels for name in panel.names]
    assert len(names) == 2 and all(name.over for name in names)
    found = {name.at: [] for name in names}
    for picture in scene.frames():
        for name in names:
            found[name.at].append(name.plate.cut(picture).copy())
    for plates in found.values():
        assert all((plate == plates[0]).all() for plate in plates)
        ink = THEMES[theme]
        assert (plates[0][0, 0] == ink.page).all()
        darkest = plates[0].reshape(-1, 3)[np.abs(plates[0].astype(int) - ink.page).sum(-1).argmax()]
        assert contrast(tuple(map(int, darkest)), ink.page) > READABLE


@pytest.mark.parametrize("view", sorted(set(VIEWS) - set(FROM_ABOVE)))
def test_under_water_the_name_stands_still_without_a_plate(view):
    scene = scene_of(view)
    name = scene.panels[0].names[0]
    assert not name.over
    moving = [drawing for _, drawing in scene.plan(0, 1)]
    assert not any(isinstance(drawing, ViewName) for drawing in moving)


def test_the_letters_are_those_that_the_font_gives():
    """Blended by hand from the coverage of the font: ink over page."""
    theme = THEMES["light"]
    name = ViewName("above, side", (20, 10), Letters(15, theme.text), theme.page, over=True)
    canvas = np.full((60, 200, 3), 90, np.uint8)
    name.draw(canvas)
    cover = alpha("above, side", 15)[..., None]
    page, ink = np.array(theme.page, float), np.array(theme.text, float)
    high, wide = cover.shape[:2]
    assert np.abs(canvas[10 : 10 + high, 20 : 20 + wide] - (page + cover * (ink - page))).max() <= 0.5
    box = name.plate
    assert box.x < 20 and box.x + box.w >= 20 + wide - 1 and box.y + box.h >= 10 + high - 1
    outside = canvas.copy()
    box.cut(outside)[:] = 90
    assert (outside == 90).all() or np.abs(outside.astype(int) - 90).sum() < 1e4, (
        "letters stay on their plate"
    )


def test_compiled_drawing_stamps_the_same_plate():
    theme = THEMES["light"]
    name = ViewName("overhead", (33, 21), Letters(14, theme.text), theme.page, over=True, n_frames=3)
    canvas = np.full((60, 200, 3), 90, np.uint8)
    name.draw(canvas)
    (stamp,) = name.polygons()
    assert stamp.frames.tolist() == [0, 1, 2]
    left, top = (stamp.corners[0, 0] // 16).tolist()
    assert (left, top) == (name.plate.x, name.plate.y)
    high, wide = stamp.picture.shape[:2]
    assert (canvas[top : top + high, left : left + wide] == stamp.picture).all()


@pytest.mark.parametrize("view", ["above_side", "side_left"])
def test_a_vector_file_has_the_name_once_as_text_and_over_the_ropes(view):
    look = Look(views=(view,), size=SIZE, layout="single")
    root = ET.fromstring(svg(pair(2.0)[:1], at_s=1.0, options=ClipOptions(look=look)))
    drawn = [e for e in root.iter() if e.tag.endswith(("path", "text"))]
    names = [i for i, e in enumerate(drawn) if (e.text or "").startswith(VIEWS[view].words)]
    assert len(names) == 1
    if view == "above_side":
        plate = drawn[names[0] - 1]
        assert plate.get("fill") == "#FFFFFF", "on its plate"


def test_a_view_without_room_and_a_scene_without_names_have_none():
    tiny = Scene(pair(2.0), [TIMES] * 2, look=Look(views=("side_left", "above_side"), size=(320, 180)))
    assert len(words_of(tiny)) >= 2
    assert all(name is None or name.letters.size >= 9 for panel in tiny.panels for name in panel.names)
