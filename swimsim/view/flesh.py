"""The body as rounded pieces: each piece is the hull of a few balls around the joints. [m]

Radii are half the girths that common practice gives a swimmer of 1.80 m, divided by pi; they grow with stature
and build. They shape the picture only: no number of the project is read off them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from swimsim.ground.conventions import SIDES

from .body_shapes import cross, hand_blade, unit
from .figure import Shot
from .person import BUILDS, Person

STATURE_M = 1.80
BALLS = 4  # balls of a piece; shorter lists repeat their last ball
#: Balls of the limbs: share of the way from the first to the second joint, radius.
LIMB_BALLS = {
    "upper_arm": ("shoulder", "elbow", ((0.0, 0.052), (0.45, 0.050), (1.0, 0.041))),
    "forearm": ("elbow", "wrist", ((0.0, 0.041), (0.25, 0.044), (1.0, 0.027))),
    "thigh": ("hip", "knee", ((0.06, 0.084), (0.35, 0.084), (1.0, 0.057))),
    "shank": ("knee", "ankle", ((0.0, 0.055), (0.28, 0.058), (1.0, 0.034))),
}
#: The trunk: share of the way from the shoulder to the hip line, half distance of the two balls as a share of the
#: half width there, radius, and how far they lie towards the back.
CHEST, RIBS, WAIST, BRIM, SEAT = (
    (0.165, 0.47, 0.104, 0.003), (0.36, 0.42, 0.116, 0.000), (0.66, 0.43, 0.085, -0.007), (0.84, 0.62, 0.092, 0.004),
    (0.97, 0.72, 0.102, 0.022),
)  # fmt: skip
#: Two balls on the midline between the shoulders, as the rings: where the neck grows out, and the top of the chest.
NAPE, STERNUM = (-0.07, 0.058, 0.010), (0.13, 0.096, 0.004)
SHOULDER_R, NECK_R, COLLAR_R = 0.056, 0.054, 0.062
LITTLE = 0.22  # by how much of the fingers' length the little one ends sooner
HAND_R, THUMB_R, HEEL_R, ANKLE_R, TOE_R, TOE_SPREAD = 0.0125, 0.011, 0.030, 0.033, 0.018, 0.030
#: The gaps between the fingers: from the forefinger's edge to the other, from and to which share of their length.
GAPS, GAP_FROM, GAP_TO = (0.27, 0.51, 0.75), 0.12, 1.06
GROWN = ("upper_arm", "thigh")  # limbs that grow out of the trunk
SHORTS_SHARE = 0.42  # how much of the thigh the shorts cover


@dataclass(frozen=True)
class Piece:
    """One rounded piece: group for the drawing order, material, joints it belongs to, its balls.

    `centres` has shape (n_frames, n_balls, 3) [m], `radii` (n_balls,) [m]. `open` is the ball that grows out of
    another group and has no rim of its own.
    """

    name: str
    group: str
    material: str
    joints: frozenset[str]
    centres: np.ndarray
    radii: tuple[float, ...]
    open: int | None = None


def pieces(shot: Shot, person: Person, stature_m: float) -> list[Piece]:
    """Every piece but the head and the flats of hands and feet, in drawing order within each group."""
    scale = stature_m / STATURE_M
    limb, torso = (scale * factor for factor in BUILDS[person.build])
    found = _trunk(shot, person, torso, scale)
    for side in SIDES:
        found += _leg(shot, side, limb, person) + _arm(shot, side, limb, scale)
    return found


def hand_balls(shot: Shot, side: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Corners of the hand (n, 6, 3), root and tip of the thumb (n, 2, 3), and the way the palm faces (n, 3)."""
    blade, palm = hand_blade(shot, side)
    wrist, thumb = shot.point(f"{side}_wrist"), shot.point(f"{side}_thumb_tip")
    root = wrist + 0.25 * (shot.point(f"{side}_knuckles") - wrist) + 0.30 * (thumb - wrist)
    return blade, np.stack([root, thumb], axis=1), palm


def finger_gaps(blade: np.ndarray) -> np.ndarray:
    """The lines between the four fingers, knuckle and tip of each, of the corners of a hand: (n, 3, 2, 3). [m]"""
    shorter = LITTLE * (blade[:, 4] - blade[:, 3])
    first, last = blade[:, [1, 2]], np.stack([blade[:, 4], blade[:, 3] + shorter], axis=1)
    shares = np.array(GAPS)[:, None, None]
    lines = (1 - shares) * first[:, None] + shares * last[:, None]
    root, tip = lines[:, :, 0], lines[:, :, 1]
    return np.stack([_along(root, tip, share) for share in (GAP_FROM, GAP_TO)], axis=2)


def foot_axes(shot: Shot, side: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Toe, sideways axis of the foot and the way its sole faces, each (n, 3)."""
    ankle, heel, toe = (shot.point(f"{side}_{n}") for n in ("ankle", "heel", "toe"))
    along = unit(toe - heel)
    up = ankle - heel
    up = unit(up - (up * along).sum(-1, keepdims=True) * along)
    return toe, cross(up, along), -up


def _along(a: np.ndarray, b: np.ndarray, share: float) -> np.ndarray:
    return a + share * (b - a)


def _trunk(shot: Shot, person: Person, torso: float, scale: float) -> list[Piece]:
    """Shoulders and collar, then chest, waist and seat, in skin or suit."""
    ls, rs, lh, rh = (shot.point(n) for n in ("left_shoulder", "right_shoulder", "left_hip", "right_hip"))
    top, low = (ls + rs) / 2, (lh + rh) / 2
    spine = unit(top - low)

    def ring(share: float, spread: float, radius: float, back: float) -> tuple[np.ndarray, float]:
        middle, across = _along(top, low, share), _along((ls - rs) / 2, (lh - rh) / 2, share)
        dorsal = unit(cross(spine, across))
        shift = back * scale * dorsal
        return np.stack(
            [middle + shift + spread * across, middle + shift - spread * across], 1
        ), radius * torso

    rings = (CHEST, RIBS, WAIST, BRIM, SEAT)
    (chest, cr), (ribs, rr), (waist, wr), (brim, br), (seat, sr) = (ring(*r) for r in rings)
    whole = person.cut == "one_piece"
    body = "suit" if whole else "skin"
    shoulders, hips = frozenset(("left_shoulder", "right_shoulder")), frozenset(("left_hip", "right_hip"))
    r = SHOULDER_R * torso
    (nape, nr), (sternum, mr) = (ring(share, 0.0, radius, back) for share, radius, back in (NAPE, STERNUM))
    corners = np.stack([_along(ls, rs, 0.04), _along(rs, ls, 0.04)], 1)
    girdle = np.concatenate([corners, nape[:, :1], sternum[:, :1]], axis=1)
    return [
        Piece("girdle", "trunk", "skin", shoulders, girdle, (r, r, nr, mr)),
        Piece("chest", "trunk", body, shoulders, np.concatenate([chest, ribs], 1), (cr, cr, rr, rr)),
        Piece("belly", "trunk", body, frozenset(), np.concatenate([ribs, waist], 1), (rr, rr, wr, wr)),
        Piece("loins", "trunk", body, frozenset(), np.concatenate([waist, brim], 1), (wr, wr, br, br)),
        Piece("seat", "trunk", "suit", hips, np.concatenate([brim, seat], 1), (br, br, sr, sr)),
    ]  # fmt: skip


def _leg(shot: Shot, side: str, limb: float, person: Person) -> list[Piece]:
    group = f"{side}_leg"
    thigh, shank = (_limb(shot, side, n, group, limb) for n in ("thigh", "shank"))
    hip, knee = shot.point(f"{side}_hip"), shot.point(f"{side}_knee")
    share = SHORTS_SHARE if person.cut == "shorts" else 0.12
    short = np.stack([_along(hip, knee, 0.02), _along(hip, knee, share)], axis=1)
    r = LIMB_BALLS["thigh"][2][0][1] * limb
    shorts = Piece("shorts", group, "suit", thigh.joints, short, (r, 1.03 * r), open=0)
    ankle, heel = shot.point(f"{side}_ankle"), shot.point(f"{side}_heel")
    toe, across, _ = foot_axes(shot, side)
    reach = TOE_SPREAD * limb * across
    inner = _along(toe, heel, 0.12)
    balls = np.stack([ankle, heel, inner + reach, inner - reach], axis=1)
    radii = tuple(limb * r for r in (ANKLE_R, HEEL_R, TOE_R, TOE_R))
    foot = Piece("foot", group, "skin", frozenset((f"{side}_ankle", f"{side}_toe")), balls, radii)
    return [foot, shank, thigh, shorts]


def _arm(shot: Shot, side: str, limb: float, scale: float) -> list[Piece]:
    group = f"{side}_arm"
    upper, fore = (_limb(shot, side, n, group, limb) for n in ("upper_arm", "forearm"))
    blade, thumb, _ = hand_balls(shot, side)
    wrist_to_knuckles, knuckles_to_tip = blade[:, [0, 1, 4, 5]], blade[:, [1, 2, 3, 4]]
    knuckles_to_tip[:, 2] += LITTLE * (blade[:, 4] - blade[:, 3])
    joints = frozenset((f"{side}_wrist", f"{side}_knuckles"))
    tips = frozenset((f"{side}_knuckles", f"{side}_fingertip"))
    r = HAND_R * scale
    return [
        upper, fore,
        Piece("thumb", group, "skin", joints, thumb, (1.3 * THUMB_R * scale, THUMB_R * scale)),
        Piece("palm", group, "skin", joints, wrist_to_knuckles, (1.25 * r, 1.1 * r, 1.1 * r, 1.25 * r)),
        Piece("fingers", group, "skin", tips, knuckles_to_tip, (1.1 * r, 0.8 * r, 0.8 * r, 1.1 * r)),
    ]  # fmt: skip


def _limb(shot: Shot, side: str, name: str, group: str, factor: float) -> Piece:
    start, end, balls = LIMB_BALLS[name]
    a, b = shot.point(f"{side}_{start}"), shot.point(f"{side}_{end}")
    centres = np.stack([_along(a, b, share) for share, _ in balls], axis=1)
    joints = frozenset((f"{side}_{start}", f"{side}_{end}"))
    radii = tuple(factor * radius for _, radius in balls)
    return Piece(name, group, "skin", joints, centres, radii, open=0 if name in GROWN else None)


def neck(shot: Shot, head_centre: np.ndarray, scale: float) -> Piece:
    """From between the shoulders into the head."""
    base = (shot.point("left_shoulder") + shot.point("right_shoulder")) / 2
    centres = np.stack([base, head_centre], axis=1)
    radii = (COLLAR_R * scale, NECK_R * scale)
    return Piece("neck", "trunk", "skin", frozenset(("neck", "thorax")), centres, radii, open=0)
