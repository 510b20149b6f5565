"""What a drill needs beside the body: a pull buoy between the thighs, a short stick in the hands, closed fists.

Sizes are common practice. They are placed by the joints alone, so any figure can draw them.
"""

from __future__ import annotations

import numpy as np

from swimsim.ground.conventions import SIDES
from swimsim.ground.errors import InputError, nearest

from . import strokes
from .body_shapes import cross, unit
from .figure import Ink, Shot, far_side
from .flesh import Piece

KIT = ("pull_buoy", "short_stick", "fists")
BUOY_SHARE, BUOY_HALF_M, BUOY_UP_M, BUOY_R = (
    0.46,
    0.070,
    0.070,
    0.066,
)  # place on the thigh; half length, lobes
STICK_M, STICK_R = 0.45, 0.013  # length and radius of the stick
SWAP_M = 0.04  # how far one hand must be ahead of the other to hold the stick alone [m]
FIST_R = 0.036
CLOSED_SHARE = 0.80  # of its length that the open hand still reaches where the fist is drawn


def kit_pieces(shot: Shot, kit: tuple[str, ...], scale: float) -> list[Piece]:
    """Rounded pieces of what is worn or held, at `scale` times a swimmer of 1.80 m.

    Raises
    ------
    InputError
        Something unknown.
    """
    found = []
    for name in kit:
        if name not in _PIECES:
            raise InputError(f"kit: expected one of {', '.join(KIT)}, got '{name}'; {nearest(name, KIT)}")
        found += _PIECES[name](shot, scale)
    return found


def kit_lines(shot: Shot, ink: Ink) -> list[strokes.Shapes]:
    """The same for the stick figure: thick lines through the middle of each piece."""
    lines = []
    for piece in kit_pieces(shot, ink.kit, 1.0):
        ends = shot.see(piece.centres[:, [0, -1]])
        width = max(2 * piece.radii[0] * shot.scale, 2.0)
        lines.append(
            strokes.Shapes(strokes.bars(ends[:, :1], ends[:, 1:], width, zoom=shot.zoom), ink.colour)
        )
    return lines


def buoy_lobes(shot: Shot, scale: float) -> np.ndarray:
    """Ends of the upper and lower lobe of the buoy between the thighs, (n, 4, 3). [m]"""
    hips, knees = (_middle(shot, name) for name in ("hip", "knee"))
    along = unit(knees - hips)
    across = unit(shot.point("left_hip") - shot.point("right_hip"))
    up = unit(cross(across, along))
    middle = hips + BUOY_SHARE * (knees - hips)
    lobes = [
        middle + scale * (side * BUOY_UP_M * up + end * BUOY_HALF_M * along)
        for side in (1, -1)
        for end in (1, -1)
    ]
    return np.stack(lobes, axis=1)


def stick_ends(shot: Shot, scale: float) -> np.ndarray:
    """Ends of the stick, square to the swimming direction, in the hand that is ahead, (n, 2, 3). [m]"""
    left, right = (shot.point(f"{side}_knuckles") for side in SIDES)
    share = 0.5 * (1 + np.tanh((left - right)[:, :1] / SWAP_M))
    middle = right + share * (left - right)
    middle[:, 1] = 0.0
    half = np.array([0.0, 0.5 * STICK_M * scale, 0.0])
    return np.stack([middle + half, middle - half], axis=1)


def _buoy(shot: Shot, scale: float) -> list[Piece]:
    lobes, r = buoy_lobes(shot, scale), BUOY_R * scale
    group = f"{far_side(shot.camera) or 'left'}_leg"  # the near leg hides its half
    return [Piece("buoy", group, "foam", frozenset(), lobes[:, ends], (r, r)) for ends in ([0, 1], [2, 3])]


def _stick(shot: Shot, scale: float) -> list[Piece]:
    r = STICK_R * scale
    group = f"{far_side(shot.camera) or 'left'}_arm"
    return [Piece("stick", group, "foam", frozenset(), stick_ends(shot, scale), (r, r))]


def _fists(shot: Shot, scale: float) -> list[Piece]:
    """A ball over the bent fingers, where the hand is closed."""
    found, r = [], FIST_R * scale
    for side in SIDES:
        wrist, knuckles, tip = (shot.point(f"{side}_{n}") for n in ("wrist", "knuckles", "fingertip"))
        hand, reach = (np.linalg.norm(p - wrist, axis=-1) for p in (knuckles, tip))
        shut = (reach < CLOSED_SHARE * (hand + np.linalg.norm(tip - knuckles, axis=-1)))[:, None, None]
        heel = wrist + 0.72 * (knuckles - wrist)
        curled = knuckles + 0.35 * (tip - knuckles)
        balls = np.stack([knuckles, heel, curled], axis=1)
        joints = frozenset((f"{side}_wrist", f"{side}_knuckles"))
        found.append(
            Piece("fist", f"{side}_arm", "skin", joints, np.where(shut, balls, np.nan), (r, 0.9 * r, 0.9 * r))
        )
    return found


def _middle(shot: Shot, name: str) -> np.ndarray:
    return (shot.point(f"left_{name}") + shot.point(f"right_{name}")) / 2


_PIECES = {"pull_buoy": _buoy, "short_stick": _stick, "fists": _fists}
