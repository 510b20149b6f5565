"""Speed that comes out of the stroke: motion, water, motion, until nothing changes.

The path of the hands asks for a speed, the water gives one back; each round swims the stroke at the speed that the
round before gave, its rise and fall within the stroke included. The answer hardly depends on the question (a tenth
more speed in the path gives half a percent less out of the water), so few rounds settle it.
"""

from __future__ import annotations

import dataclasses

import numpy as np

from ..ground.errors import InputError, UnreachableError
from ..ground.records import BodyMotion
from ..motion.kinematics import Motion
from ..motion.solve import solve
from ..stroke.pattern import StrokePattern
from ..swimmer.anthropometry import Body
from ..water.coefficients import Coefficients, coefficients
from ..water.floating_motion import HARMONICS, Series
from ..water.price_rules import priced, with_kick_of
from ..water.surge import Stroke, Surge, settle
from .in_water import stroke_in_water

SETTLED_M_S = 1e-6  # greatest change of the speed at any instant, from round to round
ROUNDS = 25


def speed_by_water(
    pattern: StrokePattern,
    body: Body,
    *,
    clean: StrokePattern | None = None,
    swings: bool = True,
    usual: Coefficients | None = None,
) -> tuple[StrokePattern, BodyMotion, Surge]:
    """The stroke at the speed that it gives at its stroke rate.

    Parameters
    ----------
    pattern : StrokePattern
        Its own speed is where the search begins.
    clean : StrokePattern, optional
        The same swimmer without faults: where the legs make most of the difference, its kick drives both, because no
        difference may hang on the kick of this model.
    swings : bool
        False: only the mean speed goes back into the motion.
    usual : Coefficients, optional
        Of one swimmer; default the usual ones.

    Returns
    -------
    pattern : StrokePattern
        With the mean speed found.
    motion : BodyMotion
        Speed over the stroke; no heave, no pitch; `speed_from` is `water`.
    surge : Surge
        The periodic state.

    Raises
    ------
    InputError
        Strokes that differ from cycle to cycle.
    UnreachableError
        It does not settle; a speed at which this body cannot swim the stroke.
    """
    if pattern.cycles:
        raise InputError("speed_from: expected strokes that repeat, got a scatter from stroke to stroke")
    usual = usual or coefficients()
    kick_of = _kick_of(pattern, clean, body)
    before, fed = np.full(1, pattern.speed_m_s), None
    for _ in range(ROUNDS):
        stroke = stroke_in_water(solve(pattern, body, body_motion=fed))
        if kick_of is not None:
            stroke = with_kick_of(stroke, _level_stroke(kick_of, body, pattern.speed_m_s))
        surge = settle(stroke, usual, pattern.stroke_rate_hz)
        speed = surge.speed_m_s[:, 0]
        body_motion = _body_motion(speed, pattern)
        fed = body_motion if swings else None
        pattern = dataclasses.replace(pattern, speed_m_s=body_motion.mean_speed_m_s)
        if np.abs(speed - before).max() < SETTLED_M_S:
            return pattern, body_motion, surge
        before = speed
    raise UnreachableError(
        f"speed_from: water: not settled after {ROUNDS} rounds; the speed still changes by "
        f"{np.abs(speed - before).max():.2g} m/s"
    )


def _kick_of(pattern: StrokePattern, clean: StrokePattern | None, body: Body) -> StrokePattern | None:
    """The clean stroke whose kick drives a faulty one too; None where the fault keeps its own."""
    if clean is None or pattern == clean or clean.stroke_rate_hz != pattern.stroke_rate_hz:
        return None
    speed = pattern.speed_m_s
    _, note = priced(_level_stroke(clean, body, speed), _level_stroke(pattern, body, speed))
    return clean if note else None


def _level_stroke(pattern: StrokePattern, body: Body, speed_m_s: float) -> Stroke:
    """A stroke at constant speed."""
    return stroke_in_water(solve(dataclasses.replace(pattern, speed_m_s=speed_m_s), body))


def _body_motion(speed_m_s: np.ndarray, pattern: StrokePattern) -> BodyMotion:
    cycles = pattern.period_cycles
    series = Series(speed_m_s, cycles / pattern.stroke_rate_hz, harmonics=HARMONICS * cycles)

    def level(time_s):
        return np.zeros_like(np.asarray(time_s, float))

    return BodyMotion(series.mean, series.integral, series, level, level, speed_from="water")


def swim_by_water(pattern: StrokePattern, body: Body, *, clean: StrokePattern | None = None) -> Motion:
    """The motion of a stroke at the speed that it gives; `clean` as in `speed_by_water`.

    A swimmer who cannot meet every target while the speed rises and falls is swum at the mean speed.
    """
    try:
        found, motion, _ = speed_by_water(pattern, body, clean=clean)
        return solve(found, body, body_motion=motion)
    except UnreachableError:
        found, _, _ = speed_by_water(pattern, body, clean=clean, swings=False)
        return solve(found, body)
