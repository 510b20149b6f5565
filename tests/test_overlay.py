"""SECOND METHOD: drawn pixels against the projection; HAND-COUNTED: words, stripes; INVARIANT: nothing leaks."""

import dataclasses

import numpy as np
import pytest
from played_faults import ALL, FAULTS, played

from swimsim.ground.projection import project
from swimsim.ground.records import Drawn, Gauge, Marks, Trace
from swimsim.teaching.keys import time_of
from swimsim.teaching.marks import marks_of, shown_cycle, shown_side
from swimsim.view.cameras import free_camera
from swimsim.view.clock import Clock
from swimsim.view.colours import THEMES, contrast, in_video
from swimsim.view.figure import Shot
from swimsim.view.gauge import GaugeStrip
from swimsim.view.gauge_curves import one_scale
from swimsim.view.layout import Box, Page
from swimsim.view.look import Look
from swimsim.view.number_line import number_of
from swimsim.view.overlay import Overlay
from swimsim.view.overlay_pieces import FILL_SHARE, Label
from swimsim.view.plates import Plates, Room, angle_words, middles, whole, words
from swimsim.view.sampling import period_share_at
from swimsim.view.scene import Scene

LIGHT = THEMES["light"]
SIZE = (400, 300)
CAMERA = free_camera([0, 4.0, 0], [0, 0, 0], field_deg=40, size_px=SIZE, travels=False)
ALIKE = 3  # levels of grey: rounding of a blend, and of a colour in the middle of a line
SAME_EDGES = 1.0  # grey levels that enlarged and averaged pictures may differ by on the whole
FAULT, CORRECT = Marks("FAULT", style="dashed"), Marks("CORRECT", style="solid")


def still(n=1):
    return Trace(np.arange(n) / 60, np.zeros((n, 1, 3)), ("pelvis",), 60.0, {"speed_m_s": 0.0})


def drawn_on(marks, *things, n=1, theme=LIGHT, zoom=1, canvas=None, trace=None, frame=0, numbers=True):
    """A picture of plain water with some drawn things in it."""
    trace = trace or still(n)
    if canvas is None:
        canvas = np.empty((SIZE[1] * zoom, SIZE[0] * zoom, 3), np.uint8)
        canvas[:] = theme.water
    marks = dataclasses.replace(marks, drawn=things)
    shot = Shot(CAMERA, np.zeros((n, 1, 3)), ("pelvis",), np.zeros(n), zoom)
    drawing = Overlay(trace, marks, theme=theme, size=20, zoom=zoom).plan(
        shot, Clock(trace.time_s), numbers=numbers
    )
    drawing.draw(canvas, frame)
    return canvas


def at(points, n=1):
    return np.repeat(np.array([points], float), n, axis=0)


def pixel(canvas, place):
    x, y = np.rint(project(CAMERA, np.array([place], float)[None])[0, 0]).astype(int)
    return canvas[y, x].astype(int)


def like(colour, other):
    return np.abs(np.asarray(colour, int) - np.asarray(other, int)).max() <= ALIKE


LINE = [[-0.5, 0, 0.1], [0.6, 0, 0.1]]


def test_a_line_lies_where_the_projection_says_on_a_wider_pale_one():
    canvas = drawn_on(CORRECT, Drawn("line", at(LINE)))
    x, y = project(CAMERA, np.array([[[0.05, 0, 0.1]]]))[0, 0]
    column = canvas[:, round(x)].astype(int)
    blue = np.flatnonzero([like(c, LIGHT.correct) for c in column])
    assert abs(blue.mean() - y) < 0.5
    for side in (column[blue[0] - 3 : blue[0]], column[blue[-1] + 1 : blue[-1] + 4]):
        assert any(like(c, LIGHT.page) for c in side), "casing"
    assert like(column[blue[0] - 8], LIGHT.water)


def test_fault_is_dashed_and_correct_is_one_line():
    places = np.linspace(-0.4, 0.5, 200)
    for marks, colour, gaps in ((FAULT, LIGHT.fault, True), (CORRECT, LIGHT.correct, False)):
        canvas = drawn_on(marks, Drawn("line", at(LINE)))
        row = [pixel(canvas, [x, 0, 0.1]) for x in places]
        coloured = np.mean([like(c, colour) for c in row])
        assert (0.3 < coloured < 0.8) if gaps else coloured == 1.0
        assert any(like(c, LIGHT.page) for c in row) is gaps


def test_an_arc_lets_the_picture_through_and_has_a_rim():
    corner = [[0, 0, 0], [0.4, 0, 0], [0, 0, -0.4]]
    canvas = drawn_on(CORRECT, Drawn("arc", at(corner)))
    half = np.array([1, 0, -1]) / np.sqrt(2)
    inside = FILL_SHARE * np.array(LIGHT.correct) + (1 - FILL_SHARE) * np.array(LIGHT.water)
    assert like(pixel(canvas, 0.09 * half), inside)
    assert like(pixel(canvas, 0.17 * half), LIGHT.correct)
    assert like(pixel(canvas, -0.09 * half), LIGHT.water)
    assert like(pixel(canvas, 0.09 * np.array([1, 0, 1])), LIGHT.water)


def test_an_arc_seen_edge_on_is_left_out():
    corner = at([[0, 0, 0], [0, 0.4, 0], [0.02, 0.4, 0]])
    canvas = drawn_on(CORRECT, Drawn("arc", corner, np.array([3.0])), numbers=False)
    assert (canvas == np.array(LIGHT.water)).all()


@pytest.mark.parametrize(
    "drawn",
    [
        Drawn("arc", at([[0, 0, 0], [0.4, 0, 0], [0, 0, -0.4]]), tone="target"),
        Drawn("span", at(LINE), tone="target"),
        Drawn("line", at(LINE), tone="target"),
    ],
)
def test_a_target_is_hatched_green(drawn):
    canvas = drawn_on(FAULT, drawn).astype(int).reshape(-1, 3)
    touched = canvas[(canvas != LIGHT.water).any(1)]
    green = np.mean(touched[:, 1] > touched[:, 0] + 80)
    pale = np.mean(touched.min(1) > 235)
    assert 0.2 < green < 0.8 and pale > 0.1, "stripes, not a plain patch"
    assert any(like(c, LIGHT.band) for c in touched) and not any(like(c, LIGHT.fault) for c in touched)


def test_marks_are_drawn_within_their_shares_alone():
    n = 5
    phase = np.array([0.05, 0.2, 0.5, 0.8, 0.97])
    for shares, shown in (
        ((0.1, 0.6), [False, True, True, False, False]),
        ((0.9, 0.1), [True, False, False, False, True]),
    ):
        for frame in range(n):
            canvas = drawn_on(
                dataclasses.replace(CORRECT, phase=phase), Drawn("line", at(LINE, n), shares=shares),
                n=n, trace=still(n), frame=frame,
            )  # fmt: skip
            assert (canvas != np.array(LIGHT.water)).any() == shown[frame]


def test_what_is_missing_is_not_drawn():
    points = at(LINE, 3)
    points[1] = np.nan
    for frame, there in ((0, True), (1, False)):
        canvas = drawn_on(CORRECT, Drawn("line", points, np.array([1.0, 2.0, 3.0])), n=3, frame=frame)
        assert (canvas != np.array(LIGHT.water)).any() == there


def test_numbers_in_words():
    assert [words(v, u) for v, u in ((69.5, "deg"), (164.5 - 1e-9, "deg"), (-0.4, "cm"), (20.2, "%"))] == [
        "70°", "165°", "0 cm", "20 %",
    ]  # fmt: skip
    assert [words(v, "cm", signed=True) for v in (12.0, -15.0, 0.2)] == ["+12 cm", "-15 cm", "0 cm"]
    assert angle_words(70.0, None) == ("70°",) and angle_words(70.0, 67.1) == ("70°",)
    assert angle_words(70.0, 62.0) == ("true 70°", "as seen 62°")
    assert angle_words(70.0, float("nan")) == ("true 70°",)
    assert whole(-0.5) == 0 and whole(0.5) == 1


@pytest.mark.parametrize("end", [[-1.4, 0, 1.05], [1.45, 0, 0], [0, 0, -1.08]])
def test_a_number_never_leaves_the_view(end):
    """The line ends at the border of the view, and the whole plate is still in it."""
    thing = Drawn("line", at([[0, 0, 0], end]), np.array([123.0]), unit="cm")
    canvas = drawn_on(CORRECT, thing)
    without = drawn_on(CORRECT, thing, numbers=False)
    rows, cols = np.nonzero((canvas != without).any(-1))
    plate = Plates(LIGHT, size=20, edge=LIGHT.correct).box(("+123 cm",))
    assert np.ptp(cols) + 1 >= plate[0] - 2 and np.ptp(rows) + 1 >= plate[1] - 2


def test_a_number_keeps_off_the_marked_limb():
    limb = np.stack([np.linspace(100, 200, 30), np.full(30, 150.0)], axis=-1)[None]
    anchor, way = np.array([[150.0, 150.0]]), np.array([[1.0, 0.0]])
    free = Room(SIZE, limb)
    place = middles(anchor, way, box=(60, 24), gap=8, free=free)[0]
    off = np.abs(limb[0] - place)
    assert not (off < [31, 13]).all(-1).any(), "straight ahead it would cover the limb"
    assert np.linalg.norm(place - anchor[0]) < 100, "and it stays beside what it is about"


@pytest.mark.parametrize(("fault", "severity"), ALL)
def test_the_number_over_the_body_is_the_number_of_the_panel(fault, severity):
    """At the key instant, read off the plates that would be drawn: the same text to the last letter."""
    run = played(fault, severity)
    side = shown_side(run)
    cycle = shown_cycle(run, side)
    for swum, marks in zip((run.fault, run.correct), marks_of(run), strict=True):
        time = np.array([time_of(swum, marks.key_share % 1.0, side=side, cycle=cycle)])
        shot = Shot(CAMERA, np.zeros((1, 1, 3)), ("pelvis",), time * swum.pattern.speed_m_s)
        drawing = Overlay(swum.trace, marks, theme=LIGHT, size=20).plan(shot, Clock(time))
        texts = [p.texts[0] for p in drawing.pieces if isinstance(p, Label) and p.texts[0] != ("30 cm",)]
        if marks.gauge is None or fault in ("flat_hips", "over_rotation"):
            assert [t[0].removeprefix("true ") for t in texts] == [number_of(marks.value)]
        elif fault == "asymmetry":
            peak = swum.truth.value("shoulder_roll_peak", side)  # the panel says by how much the sides differ
            assert texts == [(f"{peak:.0f}°",)]
        else:
            assert texts == [], "a lag and a dip are in the gauge"


def example(theme, zoom=1, *, numbers=True):
    things = (
        Drawn("arc", at([[0, 0, 0], [0.4, 0, 0], [0, 0, -0.4]]), tone="target"),
        Drawn("span", at(LINE), np.array([12.0]), unit="cm"),
        Drawn("line", at([[-1, 0, -0.5], [0.3, 0, -0.9]]), tone="guide"),
        Drawn("arc", at([[-0.4, 0, 0.3], [-0.9, 0, 0.3], [-0.6, 0, 0.7]]), np.array([63.4])),
    )
    return drawn_on(FAULT, *things, theme=theme, zoom=zoom, numbers=numbers)


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_edges_are_the_same_at_any_zoom(theme):
    once = example(THEMES[theme]).astype(float)
    zoomed = example(THEMES[theme], 8).reshape(SIZE[1], 8, SIZE[0], 8, 3).mean(axis=(1, 3))
    drawn = (once != np.array(THEMES[theme].water)).any(-1)
    assert np.abs(once - zoomed).mean() < SAME_EDGES and drawn.mean() > 0.02


def test_colours_for_video_make_the_same_picture():
    rgb, video = example(LIGHT), example(LIGHT.in_video()).astype(int)
    flat, counts = np.unique(rgb.reshape(-1, 3), axis=0, return_counts=True)
    for colour in flat[np.argsort(counts)[-4:]]:
        same = (rgb == colour).all(-1)
        assert np.abs(video[same] - in_video(tuple(int(c) for c in colour))).max() <= ALIKE


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_a_quiz_picture_leaks_nothing(fault, theme):
    """Neither vermillion or orange nor blue of a panel nor the green of targets; and no word."""
    run = played(fault)
    side = shown_side(run)
    hidden, shown = marks_of(run, hide=True)[0], marks_of(run)[0]
    time = time_of(run.fault, shown.key_share % 1.0, side=side, cycle=shown_cycle(run, side))
    look = Look(views=tuple(run.scenario.output.views), size=(640, 720), theme=theme, style="stick")

    def signs(marks):
        scene = Scene([(run.fault.trace, marks)], [np.array([time])], look=look)
        red, green, blue = np.moveaxis(next(scene.frames()).astype(int), -1, 0)
        orange, of_band = red > blue + 60, (green > red + 80) & (green > blue + 20)
        strong_blue = blue > red + 130
        return int(orange.sum()), int(of_band.sum()), int(strong_blue.sum())

    assert signs(hidden) == (0, 0, 0)
    assert signs(shown)[0] > 100, "the same test finds the fault where it is marked"


def strip(marks, size, theme=LIGHT, share=0.3):
    box = Box(0, 0, *size)
    page = Page((size[0], size[1]), min(size[0] / 620, 1.0), (), box)
    gauge = GaugeStrip(box, marks, theme=theme, page=page)
    canvas = np.empty((size[1], size[0], 3), np.uint8)
    canvas[:] = theme.page
    gauge.paint(canvas)
    empty = canvas.copy()
    gauge.plan(np.array([share]))
    gauge.draw(canvas, 0)
    return gauge, empty.astype(int), canvas.astype(int)


def rows_of(gauge, i, share):
    """Row of a curve at a share of the period. [px]"""
    return float(gauge._row(gauge._value(i, np.array([share]))[0]))


@pytest.mark.parametrize(("severity", "least"), [(0.35, 5.0), (0.7, 14.0)])
def test_a_dip_between_two_peaks_is_plain_to_see(severity, least):
    """In a strip of 620 x 90 px the valley lies rows below both peaks, and below the band; not so without it."""
    fault, correct = marks_of(played("double_bump", severity))
    gauge = strip(fault, (620, 90))[0]
    key = fault.key_share
    valley = rows_of(gauge, 0, key)
    for before_after in (-0.09, 0.09):
        assert valley - rows_of(gauge, 0, key + before_after) > least
    assert valley > float(gauge._row(gauge.gauge.band[0])) + 2, "below the target"
    gauge = strip(correct, (620, 90))[0]
    assert rows_of(gauge, 0, key) <= min(rows_of(gauge, 0, key + d) for d in (-0.05, 0.05))


def test_late_hips_show_as_a_way_between_two_marks():
    widths = []
    for severity in (0.35, 0.7):
        fault, correct = marks_of(played("shoulder_driven", severity))
        for marks in (fault, correct):
            gauge, still_picture, _ = strip(marks, (620, 90))
            zero = round(float(gauge._row(0.0)))
            colour = LIGHT.fault if marks is fault else LIGHT.correct
            row = [like(c, colour) for c in still_picture[zero]]
            runs = np.diff(np.flatnonzero(np.diff(np.concatenate([[0], row, [0]]))))[::2]
            widths.append(max(runs) / (gauge.right - gauge.left) * 100)
    truth = [played("shoulder_driven", s).fault.truth.value("hip_lag") for s in (0.35, 0.7)]
    assert widths[0] == pytest.approx(truth[0], abs=2.0) and widths[2] == pytest.approx(truth[1], abs=2.0)
    assert widths[1] < widths[0] < widths[2]


def test_flat_hips_show_as_a_small_curve():
    heights = []
    for marks in marks_of(played("flat_hips", 0.7)):
        gauge = strip(marks, (620, 90))[0]
        rows = [[rows_of(gauge, i, s) for s in np.linspace(0, 1, 60)] for i in (0, 1)]
        heights.append(np.ptp(rows[0]) / np.ptp(rows[1]))
    assert heights[0] < 0.25 < 0.45 < heights[1], (
        "hips turn half as far as the shoulders in the correct stroke"
    )


@pytest.mark.parametrize("size", [(620, 90), (330, 60)])
@pytest.mark.parametrize("fault", ["flat_hips", "shoulder_driven", "double_bump"])
def test_a_gauge_has_its_dot_on_its_curve(fault, size):
    for marks, colour in zip(marks_of(played(fault)), (LIGHT.fault, LIGHT.correct), strict=True):
        gauge, before, after = strip(marks, size, share=0.82)
        changed = (before != after).any(-1)
        x = gauge.left + 0.82 * (gauge.right - gauge.left)
        row = rows_of(gauge, 0, 0.82)
        assert like(after[round(row), round(x)], colour)
        assert changed[:, : round(x) - 20].sum() == 0 == changed[:, round(x) + 20 :].sum()


def test_a_gauge_on_both_sides_of_zero_has_its_target_on_both():
    phase = np.arange(61) / 60 % 1.0
    curve = 30 * np.sin(2 * np.pi * np.arange(61) / 60)
    marks = Marks("CORRECT", phase=phase, gauge=Gauge("roll", (("hips", curve),), band=(15.0, 25.0)))
    gauge, picture, _ = strip(marks, (620, 90))
    green = np.array([any(like(c, LIGHT.band) for c in row[gauge.left : gauge.right : 3]) for row in picture])
    for sign in (1, -1):
        assert green[round(float(gauge._row(sign * 20.0)))]
    assert not green[round(float(gauge._row(5.0)))]
    assert gauge.limits == (-40.0, 40.0), "30 and a little more, in whole tens"


@pytest.mark.parametrize(
    "fault", ["asymmetry", "over_rotation", "flat_hips", "shoulder_driven", "double_bump"]
)
def test_both_panels_show_a_roll_on_one_scale(fault):
    """An angle is as many rows high in FAULT as in CORRECT, and no curve leaves its strip."""
    gauges = [strip(marks, (620, 90))[0] for marks in marks_of(played(fault, 0.7))]
    assert gauges[0].limits == gauges[1].limits
    low, high = gauges[0].limits
    for gauge in gauges:
        assert all(low <= np.nanmin(curve) and np.nanmax(curve) <= high for curve in gauge.curves)


def test_one_scale_is_the_range_that_both_need():
    """Hand-counted: 30 degrees need whole tens to 40, 52 degrees 60; out of balance each end by itself."""
    phase, wave = np.arange(61) / 60 % 1.0, np.sin(2 * np.pi * np.arange(61) / 60)
    force = [Gauge("push", (("back", v),), "N", balanced=False) for v in (0 * wave - 10, 0 * wave + 90)]
    panels = [
        Marks(phase=phase, gauge=Gauge("roll", (("hips", size * wave),)), more_gauges=(more,))
        for size, more in zip((30, 52), force, strict=True)
    ]
    for marks in one_scale(panels):
        assert marks.gauge.limits == (-60.0, 60.0)
        assert marks.more_gauges[0].limits == pytest.approx((-10.0, 90.0), abs=1e-6)
    assert panels[0].gauge.limits is None, "the marks that were given stay as they were"


def test_panels_with_other_strips_keep_their_own_scale():
    plain, with_strip = Marks("CORRECT"), Marks("FAULT", phase=np.zeros(2), gauge=Gauge("roll", ()))
    assert one_scale([plain, with_strip]) == [plain, with_strip]
    assert one_scale([plain]) == [plain]


@pytest.mark.parametrize("unit", [0.75, 1.0])
def test_the_other_curve_is_thinner_and_still_plain(unit):
    """Rows that a level curve covers, by the ink in a column: three of the other curve, two more of the first."""
    flat = np.zeros(61)
    marks = Marks("CORRECT", phase=np.arange(61) / 60 % 1.0,
                  gauge=Gauge("roll", (("hips", flat - 20), ("shoulders", flat + 20))))  # fmt: skip
    box = Box(0, 0, round(620 * unit), round(90 * unit))
    gauge = GaugeStrip(box, marks, theme=LIGHT, page=Page((box.w, box.h), unit, (), box))
    canvas = np.full((box.h, box.w, 3), 255, np.uint8)
    gauge.paint(canvas)
    column = canvas[:, (gauge.left + gauge.right) // 2].astype(int)
    rows = [round(rows_of(gauge, i, 0.5)) for i in (0, 1)]
    inks = [(LIGHT.air[0] - column[row - 4 : row + 5, 0]).sum() for row in rows]
    first, other = (
        ink / (LIGHT.air[0] - c[0]) for ink, c in zip(inks, (LIGHT.correct, LIGHT.plain), strict=True)
    )
    assert 3.0 <= other <= 4.5 and 5.0 <= first <= 6.5, "thickness and the soft edge of OpenCV's lines"
    assert contrast(LIGHT.plain, LIGHT.air) >= 3


@pytest.mark.parametrize("start", [0.0, 0.5, 0.93])
def test_a_gauge_begins_with_the_first_entry(start):
    """Two cycles to a period; a curve that tells in which share of which cycle it is, from any start."""
    passed = start + np.arange(400) / 100
    first = np.ceil(start)
    value = (passed - first) % 2.0
    marks = Marks("CORRECT", phase=passed % 1.0, gauge=Gauge("place", (("place", value),), "", None, 2))
    gauge, *_ = strip(marks, (620, 90))
    for share in (0.1, 0.4, 0.6, 0.9):
        assert gauge._value(0, np.array([share]))[0] == pytest.approx(2 * share, abs=0.01)
    trace = still(400)
    at = np.array([30.0, 120.0, 333.0])
    found = period_share_at(marks, trace, at / 60)
    assert np.abs(found - value[at.astype(int)] / 2).max() < 1e-9
