"""SECOND METHOD: an XML reader, shapes against the projection and against the drawn pixels."""

import base64
import io
import re
import xml.etree.ElementTree as ET

import cv2
import numpy as np
import pytest
from drawn_swimmer import pair
from PIL import Image

from swimsim.ground.conventions import MODEL_LINE
from swimsim.ground.errors import InputError
from swimsim.ground.projection import project
from swimsim.ground.records import Marks, Trace
from swimsim.view import pens
from swimsim.view.cameras import named_camera
from swimsim.view.clip import ClipOptions, picture, scene_at
from swimsim.view.colours import THEMES
from swimsim.view.layout import Rows, page
from swimsim.view.look import Look
from swimsim.view.vector import still_svg, svg

SVG = "{http://www.w3.org/2000/svg}"
CENTROID_PX = 0.1  # 1/16 px of our pens, and two decimals in the file


def read(text):
    return ET.fromstring(text)


def corners(path):
    return np.array(
        [[float(v) for v in pair_.split(",")] for pair_ in re.split("[ MZ]+", path.get("d")) if pair_]
    )


@pytest.mark.parametrize("view", ["side_left", "below"])
def test_a_joint_is_where_the_projection_says(view):
    place = np.array([0.3, 0.1, -0.4])
    facts = {"speed_m_s": 0.0, "stature_m": 1.8}
    trace = Trace(np.zeros(1), place[None, None], ("left_elbow",), 30.0, facts)
    look = Look(views=(view,), size=(640, 360), trail=False, style="stick")
    root = read(svg([(trace, Marks(style="dashed"))], at_s=0.0, options=ClipOptions(look=look)))
    ours = "#{:02X}{:02X}{:02X}".format(*THEMES["light"].fault)
    (square,) = [p for p in root.iter(f"{SVG}path") if p.get("fill") == ours]
    box = page((640, 360), "single", 1, n_views=1, rows=Rows(header=False, numbers=0)).panels[0].views[0]
    camera = named_camera(view, size_px=(box.w, box.h))
    expected = project(camera, place[None, None])[0, 0] + (
        box.x + 0.5,
        box.y + 0.5,
    )  # svg counts from corners
    assert np.abs(corners(square).mean(axis=0) - expected).max() < CENTROID_PX


@pytest.mark.parametrize("style", ["solid", "stick"])
def test_words_are_text_and_the_file_says_what_it_shows(tmp_path, style):
    still_svg(tmp_path / "a.svg", pair(2.0), at_s=1.0, options=ClipOptions(look=Look(style=style)))
    root = read((tmp_path / "a.svg").read_text(encoding="utf-8"))
    said = [t.text for t in root.iter(f"{SVG}text")]
    for words in ("FAULT", "CORRECT", "forearm 25°", "forearm 70°", MODEL_LINE, "1x", "entry", "exit"):
        assert words in said
    assert root.get("role") == "img" and root.get("viewBox") == "0 0 1280 720"
    assert (
        root.find(f"{SVG}title").text == "FAULT: dropped elbow, left arm beside CORRECT: elbow above the hand"
    )
    told = root.find(f"{SVG}desc").text
    for words in ("View: side, left.", "marked: left shoulder to left fingertip", "forearm 25°", MODEL_LINE):
        assert words in told


def test_text_takes_the_room_it_has_in_a_picture():
    """Left end, base line and width of the title against the ink of the same words in pixels."""
    options = ClipOptions(look=Look(style="stick"))
    root = read(svg(pair(2.0), at_s=1.0, options=options))
    (word,) = [t for t in root.iter(f"{SVG}text") if t.text == "FAULT"]
    drawn = picture(pair(2.0), at_s=1.0, options=options)[12:56, 12:200].astype(int)
    ink = np.abs(drawn - THEMES["light"].fault).sum(-1) > 200
    left = float(word.get("x")) - 12
    columns = np.flatnonzero(ink[:, : round(left + float(word.get("textLength")))].any(axis=0))
    rows = np.flatnonzero(ink[:, : columns.max()].any(axis=1))
    assert 0 <= columns.min() - left < 5 and 0 <= left + float(word.get("textLength")) - columns.max() < 5
    assert abs(rows.max() + 1 - (float(word.get("y")) - 12)) < 1.5


def test_the_ground_is_the_picture_without_body_and_words():
    """The embedded picture differs from the drawn one only where shapes and words are."""
    options = ClipOptions(look=Look(style="solid"))
    root = read(svg(pair(2.0), at_s=1.0, options=options))
    code = root.find(f"{SVG}image").get("href").removeprefix("data:image/png;base64,")
    ground = np.asarray(Image.open(io.BytesIO(base64.b64decode(code))).convert("RGB"))
    drawn = picture(pair(2.0), at_s=1.0, options=options)
    assert ground.shape == drawn.shape
    same = (ground == drawn).all(axis=-1)
    assert 0.6 < same.mean() < 0.98
    strip = ground[14:54, 300:600].reshape(-1, 3)
    assert (strip == THEMES["light"].fault).all(), "no words in the ground"


def test_a_sketch_keeps_what_opencv_would_draw():
    """Every filled outline of a scene, drawn by OpenCV from the log, gives the drawn picture."""
    options = ClipOptions(look=Look(style="solid", trail=False))
    scene = scene_at(pair(2.0), at_s=1.0, options=options)
    canvas = pens.sketch(scene.page.size)
    scene.draw_into(canvas)
    again = np.asarray(canvas).copy()
    for item in canvas.log.items:
        if isinstance(item, pens.Path):
            x, y, wide, high = item.edges
            part = again[y : y + high, x : x + wide]
            pieces = [np.rint((p - (x, y)) * 16).astype(np.int32) for p in item.pieces]
            if item.width:
                thick = round(item.width - 1)
                cv2.polylines(part, pieces, item.closed, item.colour, thick, cv2.LINE_AA, 4)
            else:
                cv2.fillPoly(part, pieces, item.colour, cv2.LINE_AA, 4)
    box = scene.page.panels[0].views[0]
    below = slice(box.y + 40, box.y + box.h)  # without the name of the view
    away = np.abs(again[below].astype(int) - next(scene.frames())[below])
    assert away[:, box.x : box.x + box.w].mean() < 1.0
    assert np.abs(np.asarray(canvas)[below].astype(int) - next(scene.frames())[below]).mean() > 3.0


def test_pictures_are_still_drawn_by_opencv():
    plain = np.zeros((4, 4, 3), np.uint8)
    assert pens.pen_for(plain) is cv2 and pens.pen_for(plain[1:]) is cv2
    part = pens.sketch((8, 6))[2:, 3:]
    assert pens.pen_for(part) is part.log and part.log.edges(part) == (3, 2, 5, 4)


def test_a_wrong_instant_is_refused_and_leaves_nothing(tmp_path):
    with pytest.raises(InputError, match=r"at_s: expected 0\.00 to 2\.00, got 9"):
        still_svg(tmp_path / "a.svg", pair(2.0), at_s=9)
    assert list(tmp_path.iterdir()) == []
