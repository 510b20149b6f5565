"""PUBLISHED: Snell's law and flat-port tables; SECOND METHOD: least time by scipy; HAND-COUNTED, INVARIANT.

Numbers in quotes are printed ones: an index of water of 1.333 (IAPWS R9-97), angles and magnifications from
Snell's law, in shared/flat_port_angles.csv and shared/flat_port_magnification.csv.
"""

from dataclasses import replace

import cv2
import numpy as np
import pytest
from drawn_swimmer import swimmer
from scipy.optimize import minimize
from test_view_cameras import REACH_M
from tolerances import ALGEBRA, printed

from swimsim.ground.errors import InputError
from swimsim.ground.projection import look_at, project
from swimsim.ground.rays import N_WATER, bend
from swimsim.ground.records import Camera
from swimsim.ground.tables import read_csv
from swimsim.view.cameras import VIEWS, free_camera, named_camera, seen
from swimsim.view.figure import Shot
from swimsim.view.framing import in_box
from swimsim.view.refraction import air_slope, see

SAME_PIXEL = 1e-9  # ten thousand roundings of 1e-13 px on numbers of a thousand [px]
LEAST_TIME_M = 2e-7  # a minimum is flat: searched to 1e-15 of its value, its place is known to the root [m]
DISTORTED = (0.1, -0.05, 0.001, 0.002, 0.01)
TAN = {deg: np.tan(np.radians(deg)) for deg in (10, 20, 30, 45, 60, 75)}
UNDER = {"refraction": "flat_port"}
ABOVE = {"refraction": "surface"}
WET = [v for v in VIEWS if VIEWS[v].position[2] < 0]
DRY = [v for v in VIEWS if VIEWS[v].position[2] > 0]


def port_camera(*, port_m=0.05, distortion=(0.0,) * 5):
    """Lens 1 m deep at the origin of x and y, looking along +x; one unit of slope is 1000 px."""
    place = np.array([0.0, 0.0, -1.0])
    return Camera(
        "port", place, look_at(place, place + [1, 0, 0]), (1000.0, 1000.0), (0.0, 0.0), (1280, 720), distortion,
        refraction="flat_port", port_m=port_m,
    )  # fmt: skip


def high_camera(height_m=1.5, aim=(0.0, 0.0, 0.0)):
    """Lens in air above the origin; straight down unless aimed elsewhere."""
    place = np.array([0.0, 0.0, height_m])
    up = (1, 0, 0) if aim[:2] == (0.0, 0.0) else (0, 0, 1)
    return Camera(
        "high", place, look_at(place, aim, up=up), (1000.0, 1000.0), (0.0, 0.0), (1280, 720), **ABOVE
    )


def slope_seen(camera, point):
    """Tangent of the angle off the lens axis at which a point appears."""
    return float(np.hypot(*see(camera, np.array([[point]], float))[0, 0])) / 1000


# Published numbers


@pytest.mark.parametrize(
    ("in_air", "in_water"),
    [(10, "7.485"), (20, "14.867"), (30, "22.030"), (45, "32.037"), (60, "40.518"), (75, "46.438")],
)  # Snell, n = 1.333
def test_rays_bend_as_snell_says(in_air, in_water):
    """A point on the ray that leaves the port at the printed angle appears at the angle in air."""
    ray = bend(
        np.array([[np.cos(np.radians(in_air)), np.sin(np.radians(in_air)), 0]]), np.array([1.0, 0, 0])
    )[0]
    assert abs(np.degrees(np.arctan2(ray[1], ray[0])) - float(in_water)) <= printed(in_water)
    point = [0.05 + 3.0, 0.05 * TAN[in_air] + 3.0 * np.tan(np.radians(float(in_water))), -1.0]
    spread = 3.0 / np.cos(np.radians(float(in_water))) ** 2 * np.radians(printed(in_water))
    steepest = spread / 0.05  # a shift of the point moves the slope by no more than through the port alone
    assert abs(slope_seen(port_camera(), point) - TAN[in_air]) < steepest


@pytest.mark.parametrize("row", read_csv("flat_port_angles"), ids=lambda row: row["angle_air_deg"])
def test_table_of_angles_and_fields(row):
    """Full field in water behind a port: twice the angle in water, far from the port where d counts for nothing."""
    slope = np.tan(np.radians(float(row["angle_air_deg"])))
    far = 1e9
    aside = far * np.tan(np.radians(float(row["angle_water_deg"])))
    tolerance = (
        np.radians(printed(row["angle_water_deg"])) * far
    )  # times 1 / cos^2, at most 2.3 below 49 degrees
    low, high = air_slope(1e-9, far, [aside - tolerance * 2.3, aside + tolerance * 2.3])
    assert low < slope < high
    assert abs(2 * float(row["angle_water_deg"]) - float(row["field_water_deg"])) <= 3 * printed("0.001")
    ratio = float(row["field_water_deg"]) / float(row["field_air_deg"])
    assert abs(ratio - float(row["field_ratio"])) <= printed(row["field_ratio"]) + 1e-5, (
        "the field is rounded too"
    )


@pytest.mark.parametrize(
    ("air", "water"), [(50, "36.97"), (60, "44.06"), (70, "50.97"), (90, "64.07"), (120, "81.04")]
)
def test_a_flat_port_narrows_the_field_of_a_free_camera(air, water):
    """The edge of the picture of a lens of that field in air lies at half the printed angle in water."""
    camera = replace(
        free_camera((0, 4, -1), (0, 0, -1), field_deg=air, size_px=(1000, 10)), **UNDER, port_m=0.0
    )
    half = np.radians(float(water) / 2)
    point = np.array([[[4 * np.tan(half), 0.0, -1.0]]])
    edge = abs(see(camera, point)[0, 0, 0] - 499.5)
    pixel_per_radian = N_WATER * 500 / np.tan(np.radians(air / 2)) / np.cos(np.radians(air / 2)) ** 3
    assert abs(edge - 500) <= np.radians(printed(water)) * pixel_per_radian


@pytest.mark.parametrize("row", read_csv("flat_port_magnification"), ids=lambda row: "-".join(row.values()))
def test_table_of_magnification_on_the_axis(row):
    """M = (D + d)/(d + D/n): a small thing through the port against the same thing without the water."""
    d, beyond = float(row["port_m"]), float(row["beyond_m"])
    thing = np.array([[[d + beyond, 1e-7, -1.0]]])
    camera = port_camera(port_m=d)
    ratio = see(camera, thing)[0, 0, 0] / see(replace(camera, refraction="none"), thing)[0, 0, 0]
    assert abs(ratio - float(row["magnification"])) <= printed(row["magnification"])
    assert ratio <= N_WATER + ALGEBRA


def test_published_magnification_and_offset():
    """d 0.05 m, D 3 m: M 1.3258; a ray at 30 degrees in air lands 1.24278 m aside."""
    thing = np.array([[[3.05, 1e-7, -1.0]]])
    camera = port_camera()
    ratio = see(camera, thing)[0, 0, 0] / see(replace(camera, refraction="none"), thing)[0, 0, 0]
    assert abs(ratio - float("1.3258")) <= printed("1.3258")
    seen_at = slope_seen(camera, (3.05, -1.24278, -1.0))
    per_metre = 1 / (0.05 + 3 / N_WATER * 0.8)  # how fast the slope grows with X near there, from above
    assert abs(seen_at - TAN[30]) <= printed("1.24278") * per_metre


def test_apparent_depth_straight_down():
    """HAND-COUNTED: 2 m of water look 2/1.333 = 1.500 m, a joint 0.5 m deep looks 0.375 m deep."""
    for depth, looks in (("2.0", "1.500"), ("0.5", "0.375")):
        height = 1.5
        slope = slope_seen(high_camera(height), (1e-6, 0, -float(depth)))
        assert abs(1e-6 / slope - height - float(looks)) <= printed(looks)


def test_beyond_the_critical_angle_nothing_is_seen():
    """asin(1/1.333) = 48.607 degrees: a lens on the port sees to there and no further; with room, it squeezes."""
    limit = np.tan(np.radians(float("48.607")))
    step = np.radians(printed("48.607")) / np.cos(np.radians(48.607)) ** 2
    inside, outside = air_slope(0.0, 1.0, [limit - 1.1 * step, limit + 1.1 * step])
    assert np.isfinite(inside) and inside > 50 and np.isnan(outside)
    assert air_slope(0.01, 1.0, 5.0) > 100


def test_looking_down_at_45_degrees_shifts_a_deep_joint_sideways():
    """The reference prints 19 cm at a 45 degree view for a joint 0.5 m deep: x of the ray against x of the joint."""
    camera = high_camera(2.0, aim=(2.0, 0.0, 0.0))
    joint = 2.0 + 0.5 * np.tan(np.arcsin(np.sin(np.radians(45)) / N_WATER))
    assert abs(slope_seen(camera, (joint, 0, -0.5))) < ALGEBRA, (
        "seen along the lens axis, which is at 45 degrees"
    )
    straight_on = 2.0 + 0.5
    assert abs(straight_on - joint - float("0.19")) <= printed("0.19")


# A second method


def least_time(lens, point, *, normal, border):
    """Where light from lens to point crosses the plane `x . normal = border`, by Fermat's least time."""
    first = np.cross(normal, [0.31, 0.77, -0.55])
    axes = np.stack([first / np.linalg.norm(first), np.cross(normal, first) / np.linalg.norm(first)])
    base = lens + (border - lens @ normal) * normal

    def time_and_slope(uv):
        crossing = base + uv @ axes
        legs = [crossing - lens, crossing - point]
        ways = [np.linalg.norm(leg) for leg in legs]
        gradient = axes @ (legs[0] / ways[0] + N_WATER * legs[1] / ways[1])
        return ways[0] + N_WATER * ways[1], gradient

    straight = (border - lens @ normal) / ((point - lens) @ normal)
    start = axes @ (lens + straight * (point - lens) - base)
    found = minimize(time_and_slope, start, jac=True, method="BFGS", options={"gtol": 1e-13})
    return base + found.x @ axes


def test_least_time_through_a_port():
    rng = np.random.default_rng(7)
    for distortion in ((0.0,) * 5, DISTORTED):
        for _ in range(20):
            place = np.array([*rng.uniform(-2, 2, 2), -0.6])
            way = rng.normal(size=3)
            turn = look_at(place, place + way)
            port = rng.uniform(0.01, 0.3)
            camera = Camera("c", place, turn, (900.0, 880.0), (640.0, 360.0), (1280, 720), distortion,
                            refraction="flat_port", port_m=port)  # fmt: skip
            ahead = np.array([*rng.uniform(-0.4, 0.4, 2), 1.0]) * rng.uniform(0.5, 6)
            point = place + ahead @ turn
            crossing = least_time(place, point, normal=turn[2], border=turn[2] @ place + port)
            expected = project(
                replace(camera, refraction="none"), crossing[None, None] + 9 * (crossing - place)
            )
            steep = 900 * 3 / port  # pixels per metre on the port, distortion included
            assert np.abs(see(camera, point[None, None]) - expected).max() < LEAST_TIME_M * steep


def test_least_time_through_the_surface():
    rng = np.random.default_rng(8)
    camera = replace(named_camera("above_side"), **ABOVE, distortion=DISTORTED)
    for point in rng.uniform([-2, -2, -2], [2, 2, -0.01], (30, 3)):
        crossing = least_time(camera.position_m, point, normal=np.array([0, 0, -1.0]), border=0.0)
        expected = project(camera, crossing[None, None])
        assert np.abs(see(camera, point[None, None]) - expected).max() < LEAST_TIME_M * 2 * camera.focal_px[0]


def test_rays_are_solved_to_rounding():
    """ROUND TRIP: a point on a traced ray is seen at the pixel the ray started from, to 1e-9 px."""
    rng = np.random.default_rng(5)
    slopes = rng.uniform(-1.5, 1.5, (500, 2))
    camera = port_camera()
    ray = np.concatenate([slopes, np.ones((500, 1))], axis=1)
    inside = bend(ray / np.linalg.norm(ray, axis=1, keepdims=True), np.array([0, 0, 1.0]))
    reach = rng.uniform(0.3, 9, 500)[:, None] * inside / inside[:, 2:]
    points = camera.position_m + (0.05 * ray + reach) @ camera.rotation
    assert np.abs(see(camera, points[None])[0] - 1000 * slopes).max() < SAME_PIXEL
    aimed = high_camera(1.8, aim=(2.5, 1.0, 0.0))
    ray = (ray * [0.4, 0.4, 1]) @ aimed.rotation
    ray = ray[ray[:, 2] < -0.05]
    down = bend(ray / np.linalg.norm(ray, axis=1, keepdims=True), np.array([0, 0, -1.0]))
    points = (
        aimed.position_m
        - 1.8 / ray[:, 2:] * ray
        - rng.uniform(0.1, 2, len(ray))[:, None] * down / down[:, 2:]
    )
    there = project(aimed, (aimed.position_m + ray)[None])[0]
    assert np.abs(see(aimed, points[None])[0] - there).max() < SAME_PIXEL


# What must stay as it is


@pytest.mark.parametrize("view", VIEWS)
def test_without_refraction_nothing_changes(view):
    points = np.random.default_rng(1).uniform([-1, -0.5, -0.7], [1.2, 0.5, 0.4], (4, 30, 3))
    shift = np.array([0.0, 0.3, 0.7, 2.0])
    camera = named_camera(view)
    assert np.array_equal(see(camera, points, shift), project(camera, points, shift_m=shift), equal_nan=True)


def test_distortion_comes_after_the_port():
    """SECOND METHOD: cv2.projectPoints of the undistorted slopes, with the coefficients."""
    points = np.random.default_rng(2).uniform([1, -1, -1.5], [5, 1, -0.5], (50, 3))
    plain = see(port_camera(), points[None])[0] / 1000
    theirs = cv2.projectPoints(
        np.c_[plain, np.ones(50)],
        np.zeros(3),
        np.zeros(3),
        np.diag([1000.0, 1000.0, 1.0]),
        np.array(DISTORTED),
    )[0][:, 0]
    assert np.abs(see(port_camera(distortion=DISTORTED), points[None])[0] - theirs).max() < SAME_PIXEL


def test_above_the_surface_rays_are_straight_and_meet_those_below_at_the_surface():
    camera = named_camera("above_side", **ABOVE)
    straight = replace(camera, refraction="none")
    high = np.random.default_rng(3).uniform([-1, -1, 0], [1, 1, 0.5], (1, 40, 3))
    assert np.abs(see(camera, high) - project(straight, high)).max() < SAME_PIXEL
    step = np.array([[[0.3, 0.2, 1e-12], [0.3, 0.2, -1e-12]]])
    assert np.ptp(see(camera, step)[0], axis=0).max() < SAME_PIXEL


def test_under_water_things_look_raised():
    camera = named_camera("above_side", **ABOVE)
    joint = np.array([[[0.2, 0, -0.5]]])
    assert see(camera, joint)[0, 0, 1] < project(camera, joint)[0, 0, 1] - 20


@pytest.mark.parametrize("view", VIEWS)
def test_a_travelling_camera_takes_its_port_and_the_surface_along(view):
    """INVARIANT: moving both swimmer and camera along x changes no pixel."""
    camera = named_camera(view, **(UNDER if view in WET else ABOVE))
    points = np.random.default_rng(4).uniform([-1, -0.5, -0.7], [1.2, 0.5, 0.4], (1, 20, 3))
    moved = see(camera, points + [7.25, 0, 0], np.array([7.25]))
    assert np.abs(moved - see(camera, points)).max() < SAME_PIXEL


def test_what_cannot_be_seen_is_missing():
    behind_lens, in_the_housing = [-1.0, 0.0, -1.0], [0.03, 0.0, -1.0]
    pixels = see(port_camera(), np.array([[behind_lens, in_the_housing, [np.nan] * 3, [1.0, 0.0, -1.0]]]))
    assert np.isnan(pixels[0, :3]).all() and np.abs(pixels[0, 3]).max() == 0


# Pictures and exact pixels


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("size", [(1280, 720), (620, 330), (360, 640)])
def test_the_swimmer_stays_as_large_as_without(view, size):
    """The lens of a named camera is set anew: the body still fits, and fills the picture as before."""
    plain, bent_ = (
        named_camera(view, size_px=size, refraction=r)
        for r in ("none", "flat_port" if view in WET else "surface")
    )
    pixels = [see(c, REACH_M[None])[0] for c in (plain, bent_)]
    assert ((pixels[1] > 0) & (pixels[1] < np.array(size) - 1)).all()
    spans = [np.ptp(p, axis=0)[0] for p in pixels]
    assert abs(spans[1] / spans[0] - 1) < 0.05, (
        "5 %: a port draws what is nearer than the middle larger still"
    )
    if view in WET:
        wider = plain.focal_px[0] / bent_.focal_px[0]
        assert 1.30 < wider < 1.50, "the port narrows the middle by 1.333 less a little, the edges by more"


def test_pictures_and_exact_pixels_bend_alike():
    trace = swimmer(0.5)
    camera = named_camera("side_left", **UNDER)
    shift = 1.45 * trace.time_s
    shot = Shot(camera, trace.joints_m, trace.joint_names, shift)
    assert np.array_equal(shot.pixels, seen(trace, camera).pixels)
    assert np.abs(shot.pixels - project(camera, trace.joints_m, shift_m=shift)).max() > 20


def test_a_box_of_the_picture_keeps_the_refraction():
    camera = named_camera("side_left", **UNDER, size_px=(1280, 720), port_m=0.1)
    box = in_box(camera, (306, 200), stature_m=1.8)
    assert (box.refraction, box.port_m) == ("flat_port", 0.1)
    assert box.focal_px == named_camera("side_left", **UNDER, size_px=(306, 200), port_m=0.1).focal_px


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: named_camera("side_left", refraction="surface"), "'surface' is for a camera in air"),
        (
            lambda: named_camera("above_side", refraction="flat_port"),
            "'flat_port' is for a camera under water",
        ),
        (lambda: named_camera("side_left", refraction="flat port"), "did you mean 'flat_port'"),
        (
            lambda: named_camera("side_left", refraction="flat_port", port_m=-0.1),
            "port_m: expected 0 m or more",
        ),
    ],
)
def test_a_refraction_that_cannot_be_is_refused(make, words):
    with pytest.raises(InputError, match=words):
        make()
