"""INVARIANT and SECOND METHOD (OpenCV's convex hull, a filled disc counted pixel by pixel): the solid figure."""

import cv2
import numpy as np
import pytest
from drawn_swimmer import pair

import swimsim
from swimsim.ground.errors import InputError
from swimsim.ground.records import Marks
from swimsim.view import strokes
from swimsim.view.cameras import VIEWS, mean_speed, named_camera
from swimsim.view.colours import THEMES, contrast
from swimsim.view.figure import Shot, ink_for
from swimsim.view.hulls import CORNERS, of_discs, of_points
from swimsim.view.person import BUILDS, CAPS, SKINS, SUITS, Person
from swimsim.view.sampling import positions_at
from swimsim.view.solid import SolidFigure
from swimsim.view.solid_plan import CUT, GROUPS, Plan
from swimsim.view.solid_tones import LEVELS, Tones
from swimsim.view.splash import Splash

SIZE = (620, 460)
# A polygon of CORNERS corners lies inside its circle by r (1 - cos(pi / CORNERS)) at most.
SAGITTA = 1 - np.cos(np.pi / CORNERS)


@pytest.fixture(scope="module")
def trace():
    return pair(4.0)[0][0]


TIMES, NO_MARKS = np.linspace(0.5, 2.0, 7), Marks()


def shot_of(trace, view="side_left", times=TIMES, zoom=1):
    camera = named_camera(view, 1.8, size_px=SIZE)
    return Shot(camera, positions_at(trace, times), trace.joint_names, mean_speed(trace) * times, zoom)


def drawn(trace, view="side_left", marks=NO_MARKS, person=None, theme="light", frame=3, zoom=1):
    shot = shot_of(trace, view, zoom=zoom)
    canvas = np.empty((SIZE[1] * zoom, SIZE[0] * zoom, 3), np.uint8)
    canvas[:] = THEMES[theme].water
    SolidFigure(trace, person).plan(shot, ink_for(marks, THEMES[theme])).draw(canvas, frame)
    return canvas, shot


def test_hull_of_discs_is_the_hull_of_their_rims():
    random = np.random.default_rng(4)
    centres, radii = random.uniform(0, 100, (5, 4, 2)), random.uniform(4, 20, (5, 4))
    turn = np.arange(720) * np.pi / 360
    for frame in range(5):
        rims = centres[frame][:, None] + radii[frame][:, None, None] * np.stack(
            [np.cos(turn), np.sin(turn)], -1
        )
        hull = cv2.convexHull(rims.reshape(-1, 2).astype(np.float32))
        ours = of_discs(centres[frame], radii[frame]).astype(np.float32)
        area, full = cv2.contourArea(ours), cv2.contourArea(hull)
        assert full * (1 - 6 * SAGITTA) < area <= full + 1e-3
        for corner in ours:  # every corner lies on the true hull
            assert abs(cv2.pointPolygonTest(hull, tuple(map(float, corner)), True)) < 0.1


def test_hull_of_points_touches_the_farthest_points():
    points = np.random.default_rng(1).normal(0, 10, (3, 50, 2))
    ours = of_points(points)
    for frame in range(3):
        hull = {tuple(p) for p in cv2.convexHull(points[frame].astype(np.float32))[:, 0].tolist()}
        assert {tuple(p) for p in ours[frame].astype(np.float32).tolist()} <= hull


@pytest.mark.parametrize("view", VIEWS)
def test_every_joint_lies_on_the_drawn_body(trace, view):
    canvas, shot = drawn(trace, view)
    changed = (canvas != np.array(THEMES["light"].water, np.uint8)).any(axis=-1)
    for name in (
        "left_elbow",
        "right_wrist",
        "left_knee",
        "right_ankle",
        "pelvis",
        "left_knuckles",
        "head_top",
    ):
        u, v = shot.pixels[3, trace.joint_names.index(name)]
        if 2 <= u < SIZE[0] - 2 and 2 <= v < SIZE[1] - 2:
            assert changed[round(v) - 2 : round(v) + 3, round(u) - 2 : round(u) + 3].any(), name


def test_limb_is_as_thick_as_its_girth_says(trace):
    """Upper thigh of 0.084 m radius: the drawn width across the limb, counted in pixels."""
    shot = shot_of(trace)
    plan = Plan(shot, ink_for(Marks(), THEMES["light"]), Person(), 1.8)
    hip, knee = (shot.joints([f"left_{n}"])[3, 0] for n in ("hip", "knee"))
    canvas = np.zeros((SIZE[1], SIZE[0]), np.uint8)
    across = np.array([-(knee - hip)[1], (knee - hip)[0]]) / np.linalg.norm(knee - hip)
    thigh = max(
        (plan.outlines[i][3] for block in plan.groups["left_leg"].values() for i in block),
        key=lambda o: cv2.contourArea(o.astype(np.float32)),
    )
    cv2.fillConvexPoly(canvas, np.rint(thigh).astype(np.int32), 255)
    middle = hip + 0.35 * (knee - hip)
    inside = [
        canvas[tuple(np.rint((middle + s * across)[::-1]).astype(int))] > 0 for s in np.arange(-60, 60, 0.5)
    ]
    depth = shot.depth(shot.point("left_hip")[:, None])[3, 0]
    expected = 2 * (0.084 * shot.camera.focal_px[0] / depth + plan.rim - strokes.EDGE_PX)
    assert sum(inside) / 2 == pytest.approx(expected, abs=2.5)  # two pixels of rounding, half a step


def test_highlighted_limb_takes_the_colour_of_its_panel_and_nothing_else_does(trace):
    limb = ("left_shoulder", "left_elbow", "left_wrist", "left_knuckles")
    theme = THEMES["light"]
    for word, colour in (("FAULT", theme.fault), ("CORRECT", theme.correct)):
        style = "dashed" if word == "FAULT" else "solid"
        canvas, shot = drawn(trace, marks=Marks(word, style=style, limb=limb))
        same = (canvas == np.array(colour, np.uint8)).all(axis=-1)
        near = np.zeros(same.shape, np.uint8)
        chain = np.rint(shot.joints(limb)[3]).astype(np.int32)
        cv2.polylines(near, [chain], False, 255, 40)
        assert same.sum() > 300
        assert not same[near == 0].any()


def test_fault_is_dashed_and_correct_is_not(trace):
    """Pale pixels of the bone line along the forearm: broken for FAULT, whole for CORRECT."""
    limb, theme = ("left_shoulder", "left_elbow", "left_wrist"), THEMES["light"]
    whole = {}
    for word, style in (("FAULT", "dashed"), ("CORRECT", "solid")):
        canvas, shot = drawn(trace, marks=Marks(word, style=style, limb=limb))
        elbow, wrist = shot.joints(limb[1:])[3]
        along = elbow + np.linspace(0.12, 0.88, 200)[:, None] * (wrist - elbow)
        pixels = canvas[tuple(np.rint(along[:, ::-1]).astype(int).T)].astype(int)
        pale = np.abs(pixels - theme.page).sum(-1) < 90
        whole[word] = pale.mean()
    assert whole["CORRECT"] > 0.97
    assert 0.3 < whole["FAULT"] < 0.85


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("skin", SKINS)
def test_rim_stands_out_from_water_and_air(theme, skin):
    """WCAG 2.2, 1.4.11: graphics needed for meaning, 3 to 1."""
    ink = ink_for(Marks(), THEMES[theme])
    tones = Tones(Person(skin=skin), ink, above=False)
    for ground in (THEMES[theme].water, THEMES[theme].air):
        assert contrast(tones.rim(False, False)[0], ground) >= 3
        assert contrast(tones.rim(False, False)[-1], ground) >= 3


def test_water_cuts_the_body_at_the_still_surface(trace):
    """A level camera: pixels of the arm above the water line are in the tones of the air, below in those of water."""
    shot = shot_of(trace)
    plan = Plan(shot, ink_for(Marks(), THEMES["light"]), Person(), 1.8)
    levels = np.stack(plan.levels, axis=1)
    assert set(np.unique(levels)) <= {CUT, 0, LEVELS}
    assert (levels == CUT).any() and (levels == LEVELS).any() and (levels == 0).any()
    for group in GROUPS:
        deep = shot.depth(plan._middle(group)[:, None])[:, 0]
        lens = shot.camera.position_m + np.stack([shot.shift_m, 0 * deep, 0 * deep], -1)
        at = lens + deep[:, None] * shot.camera.rotation[2]
        at[:, 2] = 0.0
        expected = shot.see(at[:, None])[:, 0, 1]
        assert np.abs(plan.water_rows()[group] - 0.5 - expected).max() <= 0.51  # whole pixels


def test_a_steep_camera_tints_smoothly(trace):
    shot = shot_of(trace, "overhead", times=np.linspace(0.5, 2.0, 90))
    plan = Plan(shot, ink_for(Marks(), THEMES["light"]), Person(), 1.8)
    levels = np.stack(plan.levels, axis=1)
    assert levels.min() >= 0 and len(np.unique(levels)) > 4


@pytest.mark.parametrize("view", VIEWS)
def test_drawing_order_does_not_flicker(view):
    """Of two groups one is in front for a good part of a stroke: an arm changes place with the trunk four times a
    cycle at most (entry, exit, and once more in passing), a leg with the other once a kick."""
    swum = swimsim.play(swimsim.read_scenario("no_fault")).fault
    cycle = swum.motion.cycle_s
    shot = shot_of(swum.trace, view, times=np.arange(0.0, 2 * cycle, 1 / 120))
    order = Plan(shot, ink_for(Marks(), THEMES["light"]), Person(), 1.7).order()
    rank = np.argsort(order, axis=1)
    for i, one in enumerate(GROUPS):
        for j in range(i):
            swaps = np.flatnonzero(np.diff((rank[:, i] < rank[:, j]).astype(int)))
            legs = "leg" in one and "leg" in GROUPS[j]
            if one == "head" and "leg" in GROUPS[j]:
                continue  # they never overlap in a picture
            assert len(swaps) <= (12 if legs else 8), (one, GROUPS[j])
            assert not {one, GROUPS[j]} <= {"trunk", "head"} or len(swaps) == 0


@pytest.mark.parametrize("view", VIEWS)
def test_a_picture_does_not_depend_on_the_stretch_it_is_planned_in(trace, view):
    long, short = TIMES, TIMES[3:4]
    pictures = []
    for times, frame in ((long, 3), (short, 0)):
        canvas = np.zeros((SIZE[1], SIZE[0], 3), np.uint8)
        shot = shot_of(trace, view, times=times)
        SolidFigure(trace).plan(shot, ink_for(Marks(), THEMES["light"])).draw(canvas, frame)
        pictures.append(canvas)
    assert (pictures[0] == pictures[1]).all()


def test_the_nearer_end_of_a_limb_is_drawn_last(trace):
    """From the front an arm stretched forward hides its own shoulder; one that pushes back is hidden by it."""
    shot = shot_of(trace, "front", times=np.linspace(0.2, 2.0, 60))
    plan = Plan(shot, ink_for(Marks(), THEMES["light"]), Person(), 1.8)
    ahead = shot.point("left_wrist")[:, 0] > shot.point("left_shoulder")[:, 0] + 0.05
    behind = shot.point("left_wrist")[:, 0] < shot.point("left_shoulder")[:, 0] - 0.05
    turned = plan.turned()["left_arm"]
    assert ahead.any() and behind.any()
    assert not turned[ahead].any() and turned[behind].all()
    assert next(iter(plan.groups["left_arm"])) == "upper_arm"


def test_far_limbs_are_paler(trace):
    ink = ink_for(Marks(), THEMES["light"])
    tones = Tones(Person(), ink, above=False)
    water = np.array(THEMES["light"].water)
    near, far = (np.abs(np.array(tones.of("skin", False, f)[1][0]) - water).sum() for f in (False, True))
    assert far < 0.9 * near


def test_mirrored_swimmer_gives_the_mirrored_picture(trace):
    """Left and right exchanged and y turned round, seen from the other side: the picture is the mirror image."""
    swapped = [
        n.replace("left_", "x_").replace("right_", "left_").replace("x_", "right_") for n in trace.joint_names
    ]
    shot = shot_of(trace)
    points = shot.points_m[:, [trace.joint_names.index(n) for n in swapped]] * [1, -1, 1]
    other = Shot(named_camera("side_right", 1.8, size_px=SIZE), points, trace.joint_names, shot.shift_m)
    pictures = []
    for one in (shot, other):
        canvas = np.empty((SIZE[1], SIZE[0], 3), np.uint8)
        canvas[:] = THEMES["light"].water
        SolidFigure(trace).plan(one, ink_for(Marks(), THEMES["light"])).draw(canvas, 3)
        pictures.append(canvas.astype(int))
    # the corners of outlines are not symmetric, so rims may differ by a pixel
    assert np.abs(pictures[0] - pictures[1][:, ::-1]).mean() < 0.6


def test_missing_hand_leaves_the_rest(trace):
    points = positions_at(trace, np.linspace(0.5, 2.0, 7)).copy()
    for joint in ("knuckles", "fingertip", "thumb_tip"):
        points[:, trace.joint_names.index(f"left_{joint}")] = np.nan
    shot = Shot(named_camera("side_left", 1.8, size_px=SIZE), points, trace.joint_names, np.zeros(7))
    canvas = np.zeros((SIZE[1], SIZE[0], 3), np.uint8)
    SolidFigure(trace).plan(shot, ink_for(Marks(), THEMES["light"])).draw(canvas, 0)
    assert canvas.any()


def test_large_drawing_averaged_down_is_the_small_one(trace):
    once, _ = drawn(trace)
    large, _ = drawn(trace, zoom=8)
    mean = large.reshape(SIZE[1], 8, SIZE[0], 8, 3).mean(axis=(1, 3))
    assert np.abs(mean - once).mean() < 1.0  # one grey level, the aim of every drawing


@pytest.mark.parametrize("words", [{"skin": s} for s in SKINS] + [{"cap": c} for c in CAPS]
                         + [{"suit": s} for s in SUITS] + [{"build": "sturdy"}, {"cut": "one_piece"}])  # fmt: skip
def test_every_word_changes_the_picture(trace, words):
    plain = (
        Person(skin="olive", cap="purple", suit="purple")
        if words.keys() & {"skin", "cap", "suit"}
        else Person()
    )
    if next(iter(words.values())) in (plain.skin, plain.cap, plain.suit):
        plain = Person(skin="dark", cap="green", suit="green")
    changed = Person(**{**plain.__dict__, **words})
    assert (drawn(trace, person=plain)[0] != drawn(trace, person=changed)[0]).any()


def test_sturdy_is_thicker(trace):
    covered = {}
    for build in BUILDS:
        canvas, _ = drawn(trace, person=Person(build=build))
        covered[build] = (canvas != np.array(THEMES["light"].water, np.uint8)).any(axis=-1).sum()
    assert covered["sturdy"] > 1.08 * covered["lean"]


@pytest.mark.parametrize(
    "field, word", [("skin", "blue"), ("cap", "whit"), ("cut", "long"), ("build", "thin")]
)
def test_unknown_word_is_refused_by_field(field, word):
    with pytest.raises(InputError, match=f"figure.{field}.*{word}"):
        Person(**{field: word})


def test_splash_starts_at_the_entry_and_ends(trace):
    """Drops obey gravity: second difference of height is -g dt^2; nothing before the entry, nothing long after."""
    splash = Splash(trace)
    first = splash.start.min()
    before, which = splash.positions(np.array([first - 0.01]))
    assert not np.isfinite(before).any() or len(which) == 0
    times = first + np.arange(1, 9) * 0.01
    where, which = splash.positions(times)
    drops = where[:, splash.falls[which] & (splash.start[which] == first), 2]
    whole = drops[:, np.isfinite(drops).all(axis=0)]
    assert whole.shape[1] > 3
    np.testing.assert_allclose(np.diff(whole, 2, axis=0), -9.81 * 1e-4, rtol=1e-6)
    bubbles = where[:, ~splash.falls[which], 2]
    assert np.nanmax(bubbles) < 0


def test_splash_is_off_by_default_and_the_same_twice(trace):
    shot, times = shot_of(trace), np.linspace(0.5, 2.0, 7)
    one, two = (Splash(trace).plan(shot, times, THEMES["light"]) for _ in range(2))
    assert (one.corners == two.corners).all()
    from swimsim.view.look import Look

    assert Look().splash is False
