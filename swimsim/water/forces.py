"""Forces of the water on arms, hands and legs along a stroke path, for any stroke rate and any forward speed.

All of them go with the square of velocities, so at rate f the force is f^2 times a function of the instant and of the
advance per cycle (speed over rate). That function is a polynomial in the advance for every instant and every kind of
force, fitted once per path: one path then serves thousands of swimmers with other rates, coefficients and bodies.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass

import numpy as np

from ..ground.errors import InputError
from .hand import hand_force_shapes
from .limbs import crossflow, shed, yielded
from .path import StrokePath
from .properties import density
from .strips import ARM_PARTS, HAND_STRIPS, LEG_PARTS, STRIPS, Strips, hand_strips, limb_strips, toe_ends

#: Kinds of force; each is multiplied by a coefficient of its own.
KINDS = ("hand_edge", "hand_face", "hand_lift", "upper_arm", "forearm", "leg", "foot", "toe")
HAND_KINDS = KINDS[:3]
ARM_KINDS = KINDS[:5]
LIMBS = ("hand", "upper_arm", "forearm", "leg", "foot", "toe")  # what `all_strips` holds
DEGREE = 11  # of the polynomials in the advance
ADVANCE = (0.3, 1.6)  # range of the advance, as multiples of the path's own
AHEAD = np.array([1.0, 0.0, 0.0])
CHUNK = 60  # frames worked on at once, to fit the cache


@dataclass(frozen=True)
class ForceTable:
    """Polynomials in the advance per cycle, for coefficients and rate of one.

    Parameters
    ----------
    path : StrokePath
    push : numpy.ndarray, shape (kinds, n, degree + 1)
        Forward force of both sides, highest power first. [N s2/cycle2]
    spent : numpy.ndarray, shape (kinds, n, degree + 1)
        Power handed to the water, -F.v of every strip; not below 0. [W s3/cycle3]
    hand : numpy.ndarray, shape (hand kinds, 2, 3, n, degree + 1)
        Force on the left and the right hand along x, y, z. [N s2/cycle2]
    held : numpy.ndarray, shape (kinds,)
        Drag over speed squared of the legs held still in their mean posture, for coefficients of one: the body's drag
        has it already. [kg/m]
    advance_m : (float, float)
        Range of the polynomials. [m/cycle]
    """

    path: StrokePath
    push: np.ndarray
    spent: np.ndarray
    hand: np.ndarray
    held: np.ndarray
    advance_m: tuple[float, float]

    def scaled(self, advance_m):
        """An advance as the polynomials want it, -1 to 1 over their range."""
        low, high = self.advance_m
        return (2 * np.asarray(advance_m, float) - (low + high)) / (high - low)


def force_table(
    path: StrokePath, *, strips: int = STRIPS, water_kg_m3: float | None = None, advance=ADVANCE
) -> ForceTable:
    """Forces along a path.

    Parameters
    ----------
    strips : int
        Strips per limb part; a hand has half as many.
    water_kg_m3 : float, optional
        Default that of a pool of 27 degrees C.
    advance : (float, float)
        Range of the advance, as multiples of the path's own.

    Raises
    ------
    InputError
        Fewer than two strips.
    """
    if not (isinstance(strips, int) and strips >= 2):
        raise InputError(f"strips: expected a whole number, 2 or more, got {strips!r}")
    water = density() if water_kg_m3 is None else water_kg_m3
    range_m = tuple(part * path.advance_m for part in advance)
    nodes = np.cos(np.pi * (np.arange(DEGREE + 1) + 0.5) / (DEGREE + 1))
    speeds = np.mean(range_m) + nodes * (range_m[1] - range_m[0]) / 2
    limbs = all_strips(path, strips)
    blocks = [_values(some, speeds, 0.5 * water) for some in zip(*map(_cut, limbs), strict=True)]
    to_powers = np.linalg.inv(np.vander(nodes)).T
    push, spent, hand = (np.concatenate(values, axis=-2) @ to_powers for values in zip(*blocks, strict=True))
    return ForceTable(path, push, spent, hand, _held(limbs, 0.5 * water), range_m)


def _held(limbs: tuple[Strips, ...], half_water: float) -> np.ndarray:
    """Drag of the still legs, shape (kinds,); none of arms and hands."""
    drags = np.zeros(len(KINDS))
    for kind, strips in list(enumerate(limbs))[LIMBS.index("leg") :]:
        way = strips.way.mean(axis=-1, keepdims=True)
        still = Strips(
            strips.at_m[..., :1],
            np.zeros_like(way),
            way / np.sqrt((way * way).sum(axis=0)),
            strips.area_m2,
            strips.under.mean(axis=-1, keepdims=True),
            strips.left,
        )
        ahead = np.zeros_like(way)
        ahead[0] = 1.0
        force = strip_shapes(still, ahead, kind=kind)[0, 0] * still.under * strips.area_m2[:, None]
        drags[len(HAND_KINDS) + kind - 1] = -half_water * force.sum()
    return drags


def all_strips(path: StrokePath, strips: int = STRIPS) -> tuple[Strips, ...]:
    """Strips of hands, upper arms, forearms, legs and feet, and the ends of the feet: those of LIMBS."""
    legs = (limb_strips(path, parts, strips=strips) for parts in (LEG_PARTS[:2], LEG_PARTS[2:]))
    return *arm_strips(path, strips), *legs, toe_ends(path)


def arm_strips(path: StrokePath, strips: int = STRIPS) -> tuple[Strips, Strips, Strips]:
    """Strips of hands, upper arms and forearms: the first three of LIMBS."""
    hands = hand_strips(path, strips=max(HAND_STRIPS * strips // STRIPS, 1))
    return hands, *(limb_strips(path, (part,), strips=strips) for part in ARM_PARTS)


def _cut(strips: Strips) -> list[Strips]:
    """The same in chunks of frames."""
    frames = strips.under.shape[-1]
    return [strips.at(slice(start, start + CHUNK)) for start in range(0, frames, CHUNK)]


def _values(limbs: tuple[Strips, ...], speeds: np.ndarray, half_water: float):
    """Forward force and spent power of every kind, and the hands' forces; speeds along the last axis."""
    push, spent, hand = [], [], []
    for kind, strips in enumerate(limbs):
        velocity = strips.slope_m[..., None] + np.multiply.outer(AHEAD, speeds)[:, None, None]
        forces = strip_shapes(strips, velocity, kind=kind) * (half_water * strips.area_m2[:, None, None])
        forces = forces * strips.under[..., None]
        push.extend(forces[:, 0].sum(axis=1))
        spent.extend(-(forces * velocity).sum(axis=(1, 2)))
        if kind == 0:
            hand = np.stack([forces[:, :, side].sum(axis=2) for side in (strips.left, ~strips.left)], axis=1)
    return np.array(push), np.array(spent), hand


def strip_shapes(strips: Strips, velocity: np.ndarray, *, kind: int) -> np.ndarray:
    """Forces of covered strips for coefficients, half density and area of one, shape (1 or 3, 3, s, n, ...).

    Parameters
    ----------
    kind : int
        Place of the strips in `all_strips`.
    """
    way = strips.way[(...,) + (None,) * (velocity.ndim - 3)]
    if strips.thumb_way is None:
        limb = LIMBS[kind]
        way = yielded(velocity, way) if limb in ("foot", "toe") else way
        return (shed if limb == "toe" else crossflow)(velocity, way)[None]
    return hand_force_shapes(velocity, way, strips.thumb_way[(...,) + (None,) * (velocity.ndim - 3)])


def polynomial(powers: np.ndarray, at: np.ndarray) -> np.ndarray:
    """Value of polynomials, highest power first along the last axis, at `at` (broadcast against the other axes)."""
    return functools.reduce(lambda value, power: value * at + power, np.moveaxis(powers, -1, 0))
