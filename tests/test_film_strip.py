"""SECOND METHOD: drawn joints against the projection, the file read by Pillow; COMMON PRACTICE: paper, letters."""

import numpy as np
import pytest
from drawn_swimmer import SPEED_M_S, pair
from PIL import Image

from swimsim.ground.conventions import MODEL_LINE
from swimsim.ground.errors import InputError
from swimsim.ground.projection import project
from swimsim.view import film_strip as pages
from swimsim.view.cameras import named_camera
from swimsim.view.colours import THEMES, contrast
from swimsim.view.film_strip import cells, film_strip, page_of, strip_picture
from swimsim.view.framing import with_room
from swimsim.view.look import Look

A4_MM = (297, 210)
POINTS_PER_INCH = 72
AT = [0.3, 0.6, 0.9, 1.1]
STICK = Look(style="stick", trail=False)


def test_the_page_is_a4_landscape_with_letters_of_twelve_points(tmp_path):
    film_strip(tmp_path / "strip.png", pair(2.0), AT, look=STICK)
    with Image.open(tmp_path / "strip.png") as image:
        assert image.text["Description"] == MODEL_LINE
        for pixels, dots, long_mm in zip(image.size, image.info["dpi"], A4_MM, strict=True):
            assert abs(pixels / dots * 25.4 - long_mm) < 0.5
        dots = image.info["dpi"][0]
    for size in (pages.HEADING, pages.LABEL, pages.SMALL):
        assert size >= 12 / POINTS_PER_INCH * dots - 0.5


@pytest.mark.parametrize("view", ["side_left", "front"])
def test_the_marked_wrist_is_where_the_projection_says(view):
    panels = pair(2.0)
    page = strip_picture(panels, AT, look=Look(views=(view,), style="stick", trail=False))
    laid, _ = page_of(panels)
    colours = (THEMES["light"].fault, THEMES["light"].correct)
    for (trace, _), boxes, colour in zip(panels, laid.panels, colours, strict=True):
        for i, (cell, at) in enumerate(zip(cells(boxes.views[0], 4), AT, strict=True)):
            camera = with_room(named_camera(view, size_px=(cell.w, cell.h)), [trace for trace, _ in panels])
            wrist = trace.joint("left_wrist")[round(at * 60)][None, None]
            x, y = project(camera, wrist, shift_m=np.array([SPEED_M_S * at]))[0, 0]
            row, column = round(y) + cell.y, round(x) + cell.x
            assert (page[row - 1 : row + 2, column - 1 : column + 2] == colour).all(), f"picture {i}"


def test_the_page_survives_being_printed_in_grey():
    """Words on their strips keep 4.5 to 1 by the WCAG formula when every colour is a grey."""
    page = strip_picture(pair(2.0), AT, look=STICK)
    grey = np.asarray(Image.fromarray(page).convert("L"))
    laid, _ = page_of(pair(2.0))
    for boxes in laid.panels:
        head = boxes.header
        strip = grey[head.y + 4 : head.y + head.h - 4, head.x : head.x + 140]
        low, high = int(strip.min()), int(strip.max())
        assert contrast((low,) * 3, (high,) * 3) >= 4.5


def test_labels_are_shares_of_the_stroke_unless_given():
    panels = pair(2.0)
    plain = strip_picture(panels, [0.35], look=STICK)
    assert np.array_equal(plain, strip_picture(panels, [0.35], labels=["25 %"], look=STICK))
    assert not np.array_equal(plain, strip_picture(panels, [0.35], labels=["catch"], look=STICK))


@pytest.mark.parametrize(
    ("times", "labels", "words"),
    [
        ([], (), "1 to 6 instants, got 0"),
        (np.arange(7) / 10, (), "1 to 6 instants, got 7"),
        ([0.5, 0.4], (), "increasing times within 0.00 to 2.00"),
        ([0.5, 2.5], (), "increasing times within 0.00 to 2.00"),
        ([0.5], ("a", "b"), r"labels: expected 1 \(one per instant\), got 2"),
    ],
)
def test_wrong_pages_are_refused_and_leave_nothing(tmp_path, times, labels, words):
    with pytest.raises(InputError, match=words):
        film_strip(tmp_path / "strip.png", pair(2.0), times, labels=labels)
    with pytest.raises(InputError, match="one panel or more"):
        film_strip(tmp_path / "strip.png", [], [0.5])
    assert list(tmp_path.iterdir()) == []


def test_each_row_may_have_its_own_instants():
    """The second row at its own times equals a page that shows those times first."""
    panels, own = pair(2.0), [AT, [t + 0.05 for t in AT]]
    page = strip_picture(panels, own, look=STICK)
    same = strip_picture(panels, [AT, AT], look=STICK)
    assert (
        strip_picture(panels, AT, look=STICK) == same
    ).all()  # the pair has one phase, so the lock is no change
    laid, _ = page_of(panels)
    first, second = (boxes.views[0] for boxes in laid.panels)
    assert (first.cut(page) == first.cut(same)).all()
    assert (second.cut(page) != second.cut(same)).any()
    with pytest.raises(InputError, match="one row of instants per panel"):
        strip_picture(panels, [AT] * 3, look=STICK)
    with pytest.raises(InputError, match="expected increasing times within"):
        strip_picture(panels, [AT, AT[::-1]], look=STICK)
