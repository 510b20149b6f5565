"""One arm: from curves of the hand, pole and wrist to shoulder, elbow, wrist and hand points, in closed form.

The knuckles follow a curve exactly as long as the arm is not nearly straight; beyond that a soft limit keeps
the reach inside the arm. With the wrist bent by a known angle, forearm and hand to the knuckles span a
triangle of known sides, so the arm is a two-link chain (upper arm; elbow to knuckles) whose elbow lies
towards a pole direction. The pole sets the height of the elbow.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..ground.conventions import side_sign
from ..swimmer.anthropometry import Body
from .vectors import SAFE, cross, dot, sin_cos, square_to, vector

CURVES = ("ahead", "outward", "height", "pole", "girdle", "wrist", "facing", "turn")
POLE_AHEAD = 0.20  # forward part of the pole direction (choice of ours)
REACH_MOST = 0.9999  # an elbow of about 178 degrees
REACH_FREE = 0.965  # up to this share of the straight arm the knuckles follow their curve to rounding


@dataclass(frozen=True)
class ArmPoints:
    """Points of one arm, each (3, ...) [m]; `palm` is the unit palm normal."""

    shoulder: np.ndarray
    elbow: np.ndarray
    wrist: np.ndarray
    knuckles: np.ndarray
    fingertip: np.ndarray
    thumb_tip: np.ndarray
    palm: np.ndarray


def arm_points(curves: np.ndarray, lines, body: Body, *, side: str) -> ArmPoints:
    """Arm points from curve values.

    Parameters
    ----------
    curves : numpy.ndarray, shape (8, ...)
        In the order of CURVES: knuckles ahead of the thorax [m], outward of the midline [m], height above the
        surface [m]; pole elevation [rad]; shoulder girdle forward [m]; wrist extension [rad]; facing of the
        palm (0 down, pi/2 back) [rad]; turn of the palm inwards [rad].
    lines : Lines
        The trunk at the same times.
    side : str
    """
    ahead, outward, height, pole, girdle, wrist_bend, facing, turn = curves
    sign = side_sign(side)
    shoulder = lines.thorax + sign * (body.shoulder_width_m / 2) * lines.shoulder_line
    shoulder[0] += girdle
    wanted = vector(lines.thorax[0] + ahead, sign * outward, height, shape=ahead.shape)
    bend = sin_cos(wrist_bend)
    lower = two_sides(body.forearm_m, body.hand_to_knuckles_m, bend[1])
    lengths = (body.upper_arm_m, lower)
    knuckles, elbow = chain(shoulder, wanted, lengths, pole_way(pole, sign))
    forearm_way = (knuckles - elbow) / lower
    palm_way = palm_reference(forearm_way, facing, -sign * turn)
    return hand_points((shoulder, elbow, knuckles), (forearm_way, palm_way), (lower, bend), body, sign=sign)


def two_sides(forearm: float, hand: float, cos_bend: np.ndarray) -> np.ndarray:
    """Elbow to knuckles with the wrist bent by an angle of this cosine: third side of the triangle. [m]"""
    return np.sqrt(forearm**2 + hand**2 + 2 * forearm * hand * cos_bend)


def pole_way(pole: np.ndarray, sign: float) -> np.ndarray:
    """Pole direction from its elevation above outward. Not of unit length."""
    rise, aside = sin_cos(pole)
    return vector(POLE_AHEAD, sign * aside, rise, shape=pole.shape)


def soft_reach(share: np.ndarray) -> np.ndarray:
    """Reach as a share of the straight arm, bent smoothly so that it stays below REACH_MOST.

    Identity up to REACH_FREE; beyond, u becomes u / (1 + u^4)^(1/4): four times continuously differentiable.
    """
    room = REACH_MOST - REACH_FREE
    u = np.maximum(share - REACH_FREE, 0.0) / room
    square = u * u
    return np.minimum(share, REACH_FREE) + room * u / np.sqrt(np.sqrt(1 + square * square))


def chain(shoulder, wanted, lengths, pole) -> tuple[np.ndarray, np.ndarray]:
    """Knuckles and elbow of a two-link chain that reaches for a point, bent towards the pole. [m]"""
    upper, lower = lengths
    line = wanted - shoulder
    distance = np.sqrt(dot(line, line) + SAFE)
    way = line / distance
    straight = upper + lower
    reach = straight * soft_reach(distance / straight)
    along = (upper * upper - lower * lower + reach * reach) / (2 * reach)
    off = np.sqrt(np.maximum(upper * upper - along * along, 0.0))
    return shoulder + reach * way, shoulder + along * way + off * square_to(pole, way)


def palm_reference(forearm_way: np.ndarray, facing: np.ndarray, turn: np.ndarray) -> np.ndarray:
    """Palm direction square to the forearm: faces down (0) to back (pi/2), turned about it by `turn`."""
    back, down = sin_cos(facing)
    wanted = vector(-back, 0.0, -down, shape=facing.shape)
    plain = square_to(wanted, forearm_way)
    aside, kept = sin_cos(turn)
    return kept * plain + aside * cross(forearm_way, plain)


def hand_points(points, ways, triangle, body: Body, *, sign: float) -> ArmPoints:
    """Wrist, fingertip, thumb tip and palm normal.

    `points` are (shoulder, elbow, knuckles), `ways` those of forearm and palm; `triangle` is the side from
    elbow to knuckles [m] with sine and cosine of the bend of the wrist.
    """
    shoulder, elbow, knuckles = points
    (forearm_way, palm_way), (lower, (sin_bend, cos_bend)) = ways, triangle
    forearm, hand = body.forearm_m, body.hand_to_knuckles_m
    along = (forearm**2 + forearm * hand * cos_bend) / lower
    off = forearm * hand * sin_bend / lower
    wrist = elbow + along * forearm_way + off * palm_way
    hand_way = (knuckles - wrist) / hand
    palm = square_to(palm_way, hand_way)
    thumb_way = sign * cross(palm, hand_way)
    thumb = wrist + body.thumb_along_m * hand_way + body.thumb_across_m * thumb_way
    fingertip = wrist + body.hand_to_fingertip_m * hand_way
    return ArmPoints(shoulder, elbow, wrist, knuckles, fingertip, thumb, palm)
