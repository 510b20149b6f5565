"""The uncertain numbers of one or many swimmers in water: factors, coefficients, drag, masses."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from ..ground.errors import InputError
from ..ground.tables import read_toml
from ..swimmer.anthropometry import Body
from .drag import drag_factor

#: Where each coefficient stands in `shared/water.toml`.
PLACES = {
    "drag_edge_on": ("hand", "drag_edge_on"),
    "drag_plane_on": ("hand", "drag_plane_on"),
    "lift_most": ("hand", "lift_most"),
    "hand_area_factor": ("hand", "area_factor"),
    "arm_coefficient": ("arm", "coefficient"),
    "leg_coefficient": ("leg", "coefficient"),
    "foot_coefficient": ("leg", "foot_coefficient"),
    "shed": ("leg", "shed"),
    "gain": ("gain", "unsteady"),
    "drag_factor": ("drag", "k_factor"),
    "drag_exponent": ("drag", "exponent"),
    "area_follows": ("posture", "follows"),
    "head_saves": ("posture", "head_saves"),
    "added_share": ("added_mass", "share"),
    "size": ("body", "stature_factor"),
    "mass_factor": ("body", "mass_factor"),
}


@dataclass(frozen=True)
class Coefficients:
    """Numbers of one swimmer (floats) or of n swimmers (arrays of length n); meanings in `shared/water.toml`.

    Parameters
    ----------
    drag_edge_on, drag_plane_on, lift_most, hand_area_factor : float or numpy.ndarray
        Of the hand.
    arm_coefficient, leg_coefficient, foot_coefficient, shed : float or numpy.ndarray
        Of the other strips.
    gain : float or numpy.ndarray
        Unsteady gain on hand and arm.
    drag_factor : float or numpy.ndarray
        On the body's drag at 1 m/s.
    drag_exponent, area_follows, head_saves, added_share : float or numpy.ndarray
        Of the body's drag and added mass.
    size, mass_factor : float or numpy.ndarray
        The whole swimmer larger, in every direction; heavier at the same size.
    """

    drag_edge_on: float | np.ndarray
    drag_plane_on: float | np.ndarray
    lift_most: float | np.ndarray
    hand_area_factor: float | np.ndarray
    arm_coefficient: float | np.ndarray
    leg_coefficient: float | np.ndarray
    foot_coefficient: float | np.ndarray
    shed: float | np.ndarray
    gain: float | np.ndarray
    drag_factor: float | np.ndarray
    drag_exponent: float | np.ndarray
    area_follows: float | np.ndarray
    head_saves: float | np.ndarray
    added_share: float | np.ndarray
    size: float | np.ndarray
    mass_factor: float | np.ndarray

    @property
    def count(self) -> int:
        """Number of swimmers."""
        return max(np.size(getattr(self, f.name)) for f in dataclasses.fields(self))

    def of_kinds(self) -> np.ndarray:
        """Factor on every kind of force, shape (kinds, n)."""
        hand = np.multiply(self.gain, self.hand_area_factor)
        rows = (
            np.multiply(self.hand_area_factor, self.drag_edge_on),
            hand * np.subtract(self.drag_plane_on, self.drag_edge_on),
            hand * self.lift_most,
            self.arm_coefficient,
            np.multiply(self.gain, self.arm_coefficient),
            self.leg_coefficient,
            self.foot_coefficient,
            self.shed,
        )
        return np.stack([np.broadcast_to(row, self.count) for row in rows])

    def drag_at_1(self, body: Body) -> np.ndarray:
        """Drag of this body at 1 m/s in the reference posture, at size 1, shape (n,). [N]"""
        return np.broadcast_to(np.multiply(self.drag_factor, drag_factor(body)), self.count)


def coefficients(**changes) -> Coefficients:
    """The usual coefficients, some of them replaced.

    Raises
    ------
    InputError
        An unknown name.
    """
    unknown = [name for name in changes if name not in PLACES]
    if unknown:
        raise InputError(f"coefficients: expected some of {', '.join(PLACES)}, got '{unknown[0]}'")
    table = read_toml("water")
    usual = {name: table[part][key]["value"] for name, (part, key) in PLACES.items()}
    return Coefficients(**(usual | changes))


def drawn_coefficients(count: int, *, seed: int = 0) -> Coefficients:
    """Coefficients of many swimmers, spread evenly over their ranges by Latin hypercube.

    Parameters
    ----------
    count : int
        2 or more draws.
    seed : int
        The same seed gives the same draws.

    Notes
    -----
    Every coefficient is uniform between `low` and `high` of `shared/water.toml`, independent of the others (McKay,
    Beckman and Conover 1979, Technometrics 21:239-245).
    """
    from scipy.stats.qmc import LatinHypercube

    if not (isinstance(count, int) and count >= 2):
        raise InputError(f"draws: expected a whole number, 2 or more, got {count!r}")
    table = read_toml("water")
    rows = [table[part][key] for part, key in PLACES.values()]
    low, high = (np.array([row[end] for row in rows]) for end in ("low", "high"))
    drawn = low + (high - low) * LatinHypercube(len(rows), rng=np.random.default_rng(seed)).random(count)
    return Coefficients(**dict(zip(PLACES, drawn.T, strict=True)))
