"""SECOND METHOD (OpenCV's pictures; areas by formula) and INVARIANT: compiled drawing of the extra `fast`."""

import sys
from dataclasses import replace
from itertools import islice

import numpy as np
import pytest
from drawn_swimmer import pair

from swimsim.ground.records import Drawn
from swimsim.view import quick_scene, writer
from swimsim.view.colours import THEMES
from swimsim.view.look import Look
from swimsim.view.polygons import Polygons, chains, logged, merged, polygons_of
from swimsim.view.scene import Scene

pytest.importorskip("numba", reason="the extra `fast` is not installed")
SIZE = (640, 360)
LOOK = Look(size=SIZE, theme=THEMES["light"].in_video())
QUICK_LEVELS = 0.5  # mean grey levels: another rounding of edges; twice what is measured
THIN = 0.02  # share of a small area that rounded ramps may miss


def both(look, panels, times):
    """Planes of every picture drawn by OpenCV, and by compiled code into three buffers in turn."""
    scene, lay = Scene(panels, [times] * len(panels), look=look), writer.planes_of(look.size)
    shape = (look.size[1] * 3 // 2, look.size[0])
    whole, buffers = np.empty(shape, np.uint8), [np.full(shape, 77, np.uint8) for _ in range(3)]
    pictures = zip(scene.frames(), quick_scene.Planes(scene).frames(), strict=True)
    for i, (frame, strip) in enumerate(pictures):
        lay(frame, whole)
        strip.lay(buffers[i % 3], fresh=i < 3)
        yield whole, buffers[i % 3]


def filled(corners, *, grow=0.0, share=1.0, size=(64, 48)):
    """Share of each pixel's brightness that a white polygon takes on black."""
    from swimsim.view import quick

    points = np.rint(np.asarray(corners, float) * 16).astype(np.int32)[None]
    one = Polygons(points, np.zeros(1, int), np.full((1, 3), 255, np.uint8), grow=grow, share=share)
    heap = merged([((0, 0, *size), one)], 1)
    buffer = np.zeros((size[1] * 3 // 2, size[0]), np.uint8)
    quick.draw(buffer, np.zeros((3, 4), np.uint8), heap.arrays, 0, 1)
    return buffer[: size[1]] / 255, buffer[size[1] :] / 255


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("views", [("side_left",), ("below", "front"), ("overhead", "above_side")])
def test_pictures_equal_those_of_opencv(views, theme):
    look = replace(LOOK, views=views, theme=THEMES[theme].in_video(), splash=True)
    for usual, quick in islice(both(look, pair(3.0), np.arange(40) / 15), 0, 40, 5):
        assert np.abs(usual.astype(int) - quick).mean() < QUICK_LEVELS


def test_overlays_and_numbers_are_there_too():
    """They come from the log of a sketch: an arc with its number, seen through, over both swimmers."""
    panels = []
    for trace, marks in pair(3.0):
        corner = np.stack([trace.joint(f"left_{n}") for n in ("elbow", "shoulder", "wrist")], axis=1)
        arc = Drawn("arc", corner, np.full(len(trace.time_s), 45.0))
        panels.append((trace, replace(marks, drawn=(arc,))))
    times = np.arange(8) / 5
    plain = [quick.copy() for _, quick in both(LOOK, pair(3.0), times)]
    for (usual, quick), bare in zip(both(LOOK, panels, times), plain, strict=True):
        assert np.abs(usual.astype(int) - quick).mean() < QUICK_LEVELS
        assert (np.abs(quick.astype(int) - bare) > 20).sum() > 200


def test_a_buffer_used_again_shows_nothing_of_its_last_picture():
    panels, times = pair(3.0), np.arange(12) / 6
    scene = Scene(panels, [times] * 2, look=LOOK)
    fresh = np.empty((SIZE[1] * 3 // 2, SIZE[0]), np.uint8)
    for strip, (_, used) in zip(quick_scene.Planes(scene).frames(), both(LOOK, panels, times), strict=True):
        strip.lay(fresh, fresh=True)
        assert np.array_equal(fresh, used)


@pytest.mark.parametrize("turn", np.linspace(0.0, np.pi / 2, 7))
def test_a_polygon_takes_its_area(turn):
    """A rectangle of 30 x 8 px, turned: its area, the same in U and V at half the size, and its place."""
    corner = np.array([[-15, -4], [15, -4], [15, 4], [-15, 4]])
    spin = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    bright, colour = filled(corner @ spin + [31.3, 23.8])
    assert bright.sum() == pytest.approx(240, rel=THIN)
    assert colour.sum() == pytest.approx(2 * 240 / 4, rel=2 * THIN)
    rows, columns = np.indices(bright.shape)
    assert (bright * columns).sum() / bright.sum() == pytest.approx(31.3, abs=0.1)
    assert (bright * rows).sum() / bright.sum() == pytest.approx(23.8, abs=0.1)


def test_growth_share_and_shrinking_to_nothing():
    square = [[10, 10], [30, 10], [30, 30], [10, 30]]
    assert filled(square, grow=1.0)[0].sum() == pytest.approx(22 * 22, rel=THIN)
    assert filled(square, share=0.25)[0].sum() == pytest.approx(0.25 * 400, rel=THIN)
    assert filled(square, grow=-11.0)[0].sum() == 0


def test_polygons_stay_inside_their_box():
    wide = [[-50, -50], [200, -50], [200, 200], [-50, 200]]
    one = Polygons(np.array([wide], np.int32) * 16, np.zeros(1, int), np.full((1, 3), 255, np.uint8))
    from swimsim.view import quick

    buffer, heap = np.zeros((72, 64), np.uint8), merged([((16, 8, 32, 24), one)], 1)
    quick.draw(buffer, np.zeros((3, 4), np.uint8), heap.arrays, 0, 1)
    inside = np.zeros((48, 64), bool)
    inside[8:32, 16:48] = True
    assert ((buffer[:48] > 0) == inside).all()


def test_a_line_is_as_wide_as_its_thickness_says():
    line = chains(np.array([[[5 * 16, 20 * 16], [55 * 16, 20 * 16]]], np.int32), np.zeros(1, int),
                  np.full((1, 3), 255, np.uint8), thickness=4)  # fmt: skip
    assert filled(line.corners[0] / 16)[0][:, 30].sum() == pytest.approx(5.0, abs=0.05)


def test_the_log_of_a_sketch_says_the_same_as_a_drawing():
    """Polygons of the solid figure by its own account, and from what it draws into a sketch."""
    from swimsim.view import quick
    from swimsim.view.pens import sketch

    scene = Scene(pair(2.0)[:1], [np.arange(3) / 3], look=LOOK)
    canvas, pictures = sketch(SIZE), []
    for how in (polygons_of, logged):
        parts = [((b.x, b.y, b.w, b.h), p) for b, d in scene.plan(0, 3) for p in how(d, b.cut(canvas, 1), 3)]
        heap, buffer = merged(parts, 3), np.zeros((SIZE[1] * 3 // 2, SIZE[0]), np.uint8)
        quick.draw(buffer, np.zeros((23, 40), np.uint8), heap.arrays, heap.first[1], heap.first[2])
        pictures.append(buffer.astype(int))
    assert np.abs(pictures[0] - pictures[1]).mean() < QUICK_LEVELS


def test_only_plain_solid_pictures_are_drawn_so(monkeypatch):
    assert quick_scene.serves(LOOK)
    assert not quick_scene.serves(replace(LOOK, zoom=2)) and not quick_scene.serves(
        replace(LOOK, style="stick")
    )
    monkeypatch.setattr(quick_scene, "installed", lambda: False)
    assert not quick_scene.serves(LOOK)


def test_without_the_extra_the_usual_way_is_taken(monkeypatch):
    """An import that fails is no error; a clip is then drawn by OpenCV."""
    monkeypatch.setitem(sys.modules, "numba", None)
    monkeypatch.delitem(sys.modules, "swimsim.view.quick", raising=False)
    monkeypatch.delattr("swimsim.view.quick", raising=False)
    assert not quick_scene.installed.__wrapped__()
