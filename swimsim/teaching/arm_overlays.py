"""What is drawn over the body for each fault of the arm, from the exact motion.

Each function hands back lines, arcs and spans of one swimmer: what is compared, the limb or distance itself,
and the target. The number of the main one is the fault's main measure as it stands at that instant, so at the
key instant it equals the number in the header.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ..faults.catalogue import FaultSetting
from ..ground.records import Drawn
from ..scenario.severity import main_value
from .geometry import BACK, CM, DEG, FORWARD, UP, Points, angle_between, around, chain, turned, unit

RAY_M = 0.26  # length of the lines that stand for directions [m]
BEYOND_M = 0.10  # how far a line runs on beyond what it marks [m]
BESIDE_M = 0.06  # how far from a span its target lies [m]
ABOVE_M, UNDER_M = 0.13, -0.12  # where a span is drawn, above a hand that enters and under one that pulls [m]
DEPTH_M = 0.30  # the depth at which the elbow is looked at [m]
FOREARM_TARGET, ELBOW_TARGET, PALM_TARGET = (55.0, 90.0), (115.0, 155.0), (0.0, 35.0)  # [deg]
ENTRY_TARGET, PULL_TARGET, BREATH_TARGET = (-10.0, 8.0), (-5.0, 5.0), (0.0, 5.0)  # [cm]
EXIT_TARGET, ABOVE_TARGET = (0.0, 15.0), (0.0, 20.0)  # [cm]
OUT_TARGET = (0.0, 30.0)  # [deg]
LOOK_S = 0.2  # two pictures of a hand that waits are compared so far apart [s]
WINDOW, ENTRY_WINDOW = (0.07, 0.07), (0.04, 0.10)  # cycle before and after the key in which marks are shown


def dropped_elbow(body: Points, key: float) -> tuple[Drawn, ...]:
    """Forearm line, and its slope below the level line, in the side plane."""
    elbow, wrist, knuckles = (body.joint(n) for n in ("elbow", "wrist", "knuckles"))
    slope = np.arctan2(elbow[:, 2] - wrist[:, 2], wrist[:, 0] - elbow[:, 0]) * DEG
    flat = wrist - elbow
    flat[:, 1] = 0.0
    down = -UP + 0 * flat
    target = [elbow + RAY_M * turned(FORWARD, down, angle) for angle in FOREARM_TARGET]
    shares = around(key, *WINDOW)
    return (
        Drawn("arc", chain(elbow, *target), shares=shares, tone="target"),
        Drawn("line", chain(elbow, elbow + RAY_M * FORWARD), shares=shares, tone="guide"),
        Drawn("line", chain(elbow, wrist, knuckles), shares=shares),
        Drawn("arc", chain(elbow, elbow + RAY_M * FORWARD, elbow + RAY_M * unit(flat)), slope, shares=shares),
    )


def straight_arm_press(body: Points, key: float) -> tuple[Drawn, ...]:
    """The elbow's angle, and the depth at which it counts."""
    shoulder, elbow, wrist, knuckles = (body.joint(n) for n in ("shoulder", "elbow", "wrist", "knuckles"))
    upper, lower = shoulder - elbow, wrist - elbow
    angle = angle_between(upper, lower)
    target = [elbow + RAY_M * turned(unit(upper), lower, a) for a in ELBOW_TARGET]
    x, y = knuckles[:, 0] + 2 * BEYOND_M, knuckles[:, 1]
    depth = chain(body.placed(x, y, 0.0), body.placed(x, y, -DEPTH_M))
    level = chain(body.placed(x - 3 * BEYOND_M, y, -DEPTH_M), body.placed(x + BEYOND_M / 2, y, -DEPTH_M))
    shares = around(key, *WINDOW)
    return (
        Drawn("arc", chain(elbow, *target), shares=shares, tone="target"),
        Drawn("line", level, shares=shares, tone="guide"),
        Drawn("line", chain(shoulder, elbow, wrist), shares=shares),
        Drawn("arc", chain(elbow, shoulder, wrist), angle, shares=shares),
        Drawn("span", depth, np.full(len(angle), DEPTH_M * CM), unit="cm", shares=shares, tone="guide"),
    )


def entry(body: Points, key: float) -> tuple[Drawn, ...]:
    """How far from its own shoulder line the hand enters."""
    return _hand_line(body, around(key, *ENTRY_WINDOW), target=ENTRY_TARGET, off_m=ABOVE_M)


def crossover(body: Points, key: float) -> tuple[Drawn, ...]:
    """The same, with the midline that the hand should not pass."""
    midline = (-body.half_width * CM, 0.0)
    shares = around(key, *ENTRY_WINDOW)
    lines = _hand_line(body, shares, target=midline, off_m=ABOVE_M)
    return (_beside(body, -body.half_width, shares, ABOVE_M), *lines)


def wide_pull(body: Points, key: float) -> tuple[Drawn, ...]:
    """How far outside its own shoulder line the hand pulls."""
    return _hand_line(body, around(key, *WINDOW), target=PULL_TARGET, off_m=UNDER_M)


def wide_on_the_breath(body: Points, key: float) -> tuple[Drawn, ...]:
    """How much wider than on the strokes without a breath the hand pulls."""
    truth, setting = body.swum.truth, FaultSetting("wide_pull", 0.0, side=body.side, strokes="breathing")
    wider = truth.value("pull_line_breathing_difference", body.side)
    usual = (main_value(setting, truth, "pull_line") - wider) / CM
    return _hand_line(body, around(key, *WINDOW), target=BREATH_TARGET, off_m=UNDER_M, zero_m=usual)


def early_exit(body: Points, key: float) -> tuple[Drawn, ...]:
    """How far past the hip joint the hand leaves the water."""
    hip, knuckles = body.joint("hip"), body.joint("knuckles")
    y, z = knuckles[:, 1], knuckles[:, 2]
    past = (hip[:, 0] - knuckles[:, 0]) * CM
    at_hand = body.placed(hip[:, 0], y, z)
    low = np.minimum(z, hip[:, 2])
    upright = chain(body.placed(hip[:, 0], y, low - 2 * BEYOND_M), body.placed(hip[:, 0], y, 2 * BEYOND_M))
    under = z - BESIDE_M
    target = [body.placed(hip[:, 0] - cm / CM, y, under) for cm in EXIT_TARGET]
    shares = around(key, 0.08, 0.02)
    return (
        Drawn("span", chain(*target), shares=shares, tone="target"),
        Drawn("line", upright, shares=shares, tone="guide"),
        Drawn("span", chain(at_hand, knuckles), past, unit="cm", shares=shares),
    )


def palm_in_finish(body: Points, key: float) -> tuple[Drawn, ...]:
    """Which way the palm faces, against straight back."""
    arm, knuckles = body.swum.motion.arms[body.side], body.joint("knuckles")
    palm = arm.points(body.trace.time_s * arm.frame.rate - arm.lag).palm.T
    angle = angle_between(BACK + 0 * palm, palm)
    target = [knuckles + RAY_M * turned(BACK, palm, a) for a in PALM_TARGET]
    shares = around(key, 0.06, 0.03)
    back, facing = knuckles + RAY_M * BACK, knuckles + RAY_M * palm
    return (
        Drawn("arc", chain(knuckles, *target), shares=shares, tone="target"),
        Drawn("line", chain(knuckles, back), shares=shares, tone="guide"),
        Drawn("line", chain(knuckles, facing), shares=shares),
        Drawn("arc", chain(knuckles, back, facing), angle, shares=shares),
    )


def long_glide(body: Points, key: float) -> tuple[Drawn, ...]:
    """The lead arm, how long its hand lies still, and how far that has come past the body in a fifth of a second."""
    shoulder, elbow, wrist, knuckles = (body.joint(n) for n in ("shoulder", "elbow", "wrist", "knuckles"))
    time, thorax = body.trace.time_s, body.trace.joint("thorax")
    before = knuckles - thorax
    ago = np.stack([np.interp(time - LOOK_S, time, axis) for axis in before.T], axis=1)
    still = np.full(len(time), body.swum.truth.value("lead_hand_still", body.side))
    shares = around(key, *WINDOW)
    return (
        Drawn("line", chain(thorax + ago, knuckles), shares=shares, tone="guide"),
        Drawn("line", chain(shoulder, elbow, wrist, knuckles), still, unit="%", shares=shares),
    )


def low_elbow_recovery(body: Points, key: float) -> tuple[Drawn, ...]:
    """How far the elbow is above the wrist half-way through recovery."""
    shoulder, elbow, wrist, knuckles = (body.joint(n) for n in ("shoulder", "elbow", "wrist", "knuckles"))
    above = (elbow[:, 2] - wrist[:, 2]) * CM
    x, y, z = wrist[:, 0], (elbow[:, 1] + wrist[:, 1]) / 2, wrist[:, 2]
    beside = y + body.sign * BESIDE_M
    level = chain(body.placed(x, elbow[:, 1] - body.sign * BEYOND_M, z), wrist)
    target = [body.placed(x, beside, z + cm / CM) for cm in ABOVE_TARGET]
    shares = around(key, *WINDOW)
    return (
        Drawn("span", chain(*target), shares=shares, tone="target"),
        Drawn("line", level, shares=shares, tone="guide"),
        Drawn("line", chain(elbow, body.placed(x, y, elbow[:, 2])), shares=shares, tone="guide"),
        Drawn("line", chain(shoulder, elbow, wrist, knuckles), shares=shares),
        Drawn(
            "span",
            chain(body.placed(x, y, z), body.placed(x, y, elbow[:, 2])),
            above,
            unit="cm",
            shares=shares,
        ),
    )


def thumb_first(body: Points, key: float) -> tuple[Drawn, ...]:
    """How far the palm is turned outward about the forearm, from straight down."""
    elbow, wrist, knuckles, thumb = (body.joint(n) for n in ("elbow", "wrist", "knuckles", "thumb_tip"))
    along = unit(wrist - elbow)
    normal = unit(body.sign * np.cross(knuckles - wrist, thumb - wrist))
    palm = unit(normal - (normal * along).sum(1, keepdims=True) * along)
    plain = unit(-UP + along[:, 2:] * along)
    aside = body.sign * np.cross(along, plain)
    angle = np.arctan2((palm * aside).sum(1), (palm * plain).sum(1)) * DEG
    target = [knuckles + RAY_M * turned(plain, aside, a) for a in OUT_TARGET]
    down, facing = knuckles + RAY_M * plain, knuckles + RAY_M * palm
    shares = around(key, *ENTRY_WINDOW)
    return (
        Drawn("arc", chain(knuckles, *target), shares=shares, tone="target"),
        Drawn("line", chain(knuckles, down), shares=shares, tone="guide"),
        Drawn("line", chain(knuckles, facing), shares=shares),
        Drawn("arc", chain(knuckles, down, facing), angle, shares=shares),
    )


def _hand_line(
    body: Points,
    shares: tuple[float, float],
    *,
    target: tuple[float, float],
    off_m: float,
    zero_m: float = 0.0,
) -> tuple[Drawn, ...]:
    """Own shoulder line (or another line beside it), and the span from it to the knuckles.

    Parameters
    ----------
    target : (float, float)
        Counted from the same line as the number. [cm]
    off_m : float
        How far above the hand the span is drawn; below it if negative, the target a little further. [m]
    zero_m : float
        Where that line is, outwards from the own shoulder line. [m]
    """
    knuckles = body.joint("knuckles")
    x, y, z = knuckles.T
    off = (body.sign * y - body.half_width - zero_m) * CM
    beyond = off_m + np.copysign(BESIDE_M, off_m)
    start, end = (body.placed(x, side, z + off_m) for side in (body.outward(zero_m), y))
    band = [body.placed(x, body.outward(zero_m + cm / CM), z + beyond) for cm in target]
    return (
        Drawn("span", chain(*band), shares=shares, tone="target"),
        _beside(body, zero_m, shares, off_m),
        Drawn("line", chain(knuckles, end), shares=shares, tone="guide"),
        Drawn("span", chain(start, end), off, unit="cm", shares=shares),
    )


def _beside(body: Points, line_m: float, shares: tuple[float, float], off_m: float) -> Drawn:
    """A line along the way of travel, from the shoulder to the hand, then upright to the span and past it."""
    x, _, z = body.joint("knuckles").T
    y = body.outward(line_m)
    ends = (
        body.placed(body.joint("shoulder")[:, 0], y, z),
        body.placed(x, y, z),
        body.placed(x, y, z + off_m + np.copysign(BEYOND_M, off_m)),
    )
    return Drawn("line", chain(*ends), shares=shares, tone="guide")


ARM: dict[str, Callable[[Points, float], tuple[Drawn, ...]]] = {
    "dropped_elbow": dropped_elbow, "straight_arm_press": straight_arm_press, "wide_entry": entry,
    "crossover": crossover, "wide_pull": wide_pull, "early_exit": early_exit, "palm_in_finish": palm_in_finish,
    "low_elbow_recovery": low_elbow_recovery, "thumb_first": thumb_first, "long_glide": long_glide,
}  # fmt: skip
