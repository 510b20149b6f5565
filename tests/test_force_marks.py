"""SECOND METHOD (push summed strip by strip from the joints), INVARIANT (left and right, what is hidden stays hidden)
and HAND-COUNTED (strips in a box): where the hand's push goes, as arrows and moving strips."""

from dataclasses import replace

import numpy as np
import pytest

import swimsim
from swimsim.ground.errors import InputError
from swimsim.ground.records import Gauge, Marks
from swimsim.scenario.in_water import motion_path
from swimsim.scenario.read import read_scenario
from swimsim.scenario.wishes import drawn_as
from swimsim.teaching.force_marks import METRES_PER_NEWTON, push_of, with_forces
from swimsim.teaching.marks import marks_of
from swimsim.view.gauge_curves import gauges_of, limits_of
from swimsim.view.layout import Rows, page
from swimsim.water.coefficients import coefficients
from swimsim.water.forces import HAND_KINDS, strip_shapes
from swimsim.water.properties import density
from swimsim.water.strips import hand_strips

KEYS = {
    "swimmer": {"sex": "man", "stature_m": 1.8},
    "fault": [{"fault": "early_exit", "severity": 0.7}],
    "output": {"forces": True},
}


@pytest.fixture(scope="module")
def played():
    return swimsim.play(read_scenario(KEYS))


@pytest.fixture(scope="module")
def push(played):
    return push_of(played.correct, "left")


def test_the_push_is_that_of_the_strips_of_the_hand(played, push):
    """Summed anew at every instant of the path from strips that move at the speed of that instant."""
    path = motion_path(played.correct.motion)
    strips = hand_strips(path)
    period = played.correct.motion.cycle_s
    share = np.arange(len(path.joints_m)) / len(path.joints_m)
    speed = np.interp(share * period, played.correct.trace.time_s, push.speed_m_s)
    velocity = strips.slope_m * path.rate_hz
    velocity[0] += speed
    kinds = coefficients().of_kinds()[: len(HAND_KINDS), 0]
    force = (
        np.tensordot(kinds, strip_shapes(strips, velocity, kind=0), 1)
        * strips.area_m2[:, None]
        * strips.under
    )
    on_water = -0.5 * density() * force[:, strips.left].sum(axis=1)
    first = played.correct.trace.time_s < period
    found = np.stack(
        [np.interp(played.correct.trace.time_s[first], share * period, f) for f in on_water], axis=-1
    )
    assert (
        np.abs(found - push.force_n[first]).max() < 0.04 * np.abs(found).max()
    )  # 60 Hz against 480 instants


def test_a_hand_over_the_water_pushes_nothing(played, push):
    hand = played.correct.trace.joint_names.index("left_wrist")
    tip = played.correct.trace.joint_names.index("left_fingertip")
    over = played.correct.trace.joints_m[:, [hand, tip], 2].min(axis=1) > 0.06
    assert over.sum() > 20
    assert np.abs(push.force_n[over]).max() < 1e-9


def test_the_backward_share_is_that_of_the_pushes_sums(push):
    """Hand-counted from the curve: backward over all five directions, as time integrals."""
    x, y, z = push.force_n.T
    backward = np.maximum(-x, 0).sum()
    assert push.backward_share == pytest.approx(
        backward / (np.abs(x) + np.abs(y) + np.abs(z)).sum(), abs=0.01
    )


def test_the_mirrored_hand_pushes_the_mirrored_way(played):
    """A symmetric swimmer: the other hand half a cycle later, left and right exchanged."""
    left, right = (push_of(played.correct, side).force_n for side in ("left", "right"))
    assert np.abs(left).max(axis=0) == pytest.approx(np.abs(right).max(axis=0), rel=0.03)
    assert left[:, 1].mean() == pytest.approx(-right[:, 1].mean(), abs=0.3)


def test_an_early_exit_pushes_less_far_back(played):
    fault, correct = (push_of(s, "left") for s in (played.fault, played.correct))
    assert fault.backward_share < correct.backward_share
    assert fault.force_n[:, 0].mean() > correct.force_n[:, 0].mean()


def test_marks_carry_the_arrow_and_three_strips(played, push):
    for marks, swum in zip(marks_of(played), (played.fault, played.correct), strict=True):
        assert set(marks.arrows) == {"left_knuckles"}
        assert marks.arrows["left_knuckles"] == pytest.approx(
            METRES_PER_NEWTON * push_of(swum, "left").force_n
        )
        titles = [gauge.title for gauge in gauges_of(marks)]
        assert [title.split(",")[0] for title in titles] == [
            "push of the left hand",
            "speed of the hips",
            "roll",
        ]
        assert f"{100 * push_of(swum, 'left').backward_share:.0f} % of it back" in titles[0]


def test_a_fault_of_the_roll_keeps_its_own_strip():
    marks = Marks(gauge=Gauge("own", (("hips", np.zeros(3)),)))
    played = swimsim.play(read_scenario({**KEYS, "fault": [{"fault": "flat_hips", "severity": 0.7}]}))
    assert with_forces(marks, played.fault, side="left").more_gauges[-1].title == "own"
    assert marks_of(played)[0].more_gauges[-1].band is not None


def test_without_the_wish_nothing_is_added():
    marks = marks_of(swimsim.play(drawn_as(read_scenario(KEYS), forces=False)))
    assert all(not m.arrows and not m.more_gauges for m in marks)


def test_a_quiz_hides_it(played):
    assert all(not m.arrows and not gauges_of(m) for m in marks_of(played, hide=True))


def test_the_planar_swimmer_has_no_hands():
    keys = {
        "dimensions": 2,
        "fault": [{"fault": "early_exit", "severity": 0.5}],
        "output": {"views": ["side_left"]},
    }
    played = swimsim.play(read_scenario(keys))
    with pytest.raises(InputError, match="got 2: the planar swimmer has no hands"):
        push_of(played.fault, "left")


def test_several_strips_share_the_room_of_the_views():
    """Of a page of 1280 x 720: one strip 104 px high, three of 66 each, all above the bar."""
    one, three = (
        page((1280, 720), "side_by_side", 2, n_views=1, rows=Rows(gauge=n)).panels[0] for n in (1, 3)
    )
    assert (one.gauge.h, three.gauge.h) == (104, 198)
    assert three.gauge.y + three.gauge.h <= three.bar.y
    assert three.views[0].h < one.views[0].h


def test_a_strip_out_of_balance_shows_its_own_range():
    """Hand-counted: -10 to 90 with a margin of 6 % of 100; in balance it would reach from -100 to 100."""
    curves = [np.array([-10.0, 90.0])]
    gauge = Gauge("push", (("backward", curves[0]),), unit="N")
    assert limits_of(curves, gauge) == (-100.0, 100.0)
    assert limits_of(curves, replace(gauge, balanced=False)) == pytest.approx((-16.0, 96.0))
