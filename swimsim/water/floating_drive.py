"""What holds floating rods together and what drives them: pins, prescribed angles, loads; and what is refused."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..ground.errors import InputError
from .body_plane import Rod


@dataclass(frozen=True)
class Joint:
    """A pin between two rods.

    Parameters
    ----------
    first, second : str
        Names of the rods.
    on_first_m, on_second_m : (float, float)
        The pin in each rod's own frame: along the axis and square to it. [m]
    driven : bool
        True: the angle of the second rod against the first is prescribed at every step.
    """

    first: str
    second: str
    on_first_m: tuple[float, float]
    on_second_m: tuple[float, float]
    driven: bool = False


class Drive:
    """What is prescribed at every step: joint angles, the carried mass, loads on the first rod.

    Parameters
    ----------
    angles_rad : numpy.ndarray, shape (n, n_driven)
        Angle of each driven rod against its neighbour, periodic in n steps. [rad]
    carried_m : numpy.ndarray, shape (n, 2), optional
        Place of the carried mass in the first rod's frame. [m]
    load : numpy.ndarray, shape (n, 3), optional
        Forward and upward force and torque on the first rod at `around`. [N], [N], [N m]
    slope : numpy.ndarray, shape (n, 3, 6), optional
        How the load changes with the first rod's x, z, angle and their rates.
    around : numpy.ndarray, shape (n, 6), optional
        State at which `load` holds; zero by default.
    rail : numpy.ndarray, shape (n, 2), optional
        Height and slope of the first rod, in a pond that is `guided`. [m], [rad]
    """

    def __init__(self, angles_rad, *, carried_m=None, load=None, slope=None, around=None, rail=None) -> None:
        self.angles = np.asarray(angles_rad, float)
        self.count = len(self.angles)
        self.carried = None if carried_m is None else [tuple(row) for row in np.asarray(carried_m).tolist()]
        self.rows = self.angles.tolist()
        self.rail = None if rail is None else np.asarray(rail, float).tolist()
        self.slope = None if slope is None else np.asarray(slope, float)
        self.constant = np.zeros((self.count, 3)) if load is None else np.asarray(load, float)
        if self.slope is not None and around is not None:
            self.constant = self.constant - np.einsum("nij,nj->ni", self.slope, around)

    def load(self, i: int, state: np.ndarray) -> np.ndarray:
        """Load at step i for a state of the first rod. [N], [N], [N m]"""
        i %= self.count
        return self.constant[i] if self.slope is None else self.constant[i] + self.slope[i] @ state

    def set_targets(self, i: int, pond) -> None:
        """Hand the engine the angles and the place that must hold at the next step."""
        i = (i + 1) % self.count
        for gear, angle in zip(pond.gears, self.rows[i], strict=True):
            pond.set_phase(gear, angle)
        if self.carried is not None:
            pond.carrier.anchor_a = self.carried[i]
        if self.rail is not None:
            pond.to_rail(*self.rail[i])


def guard(rods: Sequence[Rod], joints: Sequence[Joint], step_s, water, drag, carried) -> None:
    """Refuse numbers that would make the engine stop or go astray: all of them in one InputError."""
    problems = []
    for name, value in (("step_s", step_s), ("water_kg_m3", water)):
        if not (np.isfinite(value) and value > 0):
            problems.append(f"{name}: expected a positive, finite number, got {value!r}")
    if np.isfinite(water) and 0 < water < 100:
        problems.append(f"water_kg_m3: expected about 1000, got {water!r}; was it given in kg/L?")
    if not all(np.isfinite(drag)) or drag[0] < 0 or not 1 <= drag[1] <= 4:
        problems.append(f"drag: expected k of 0 or more and n from 1 to 4, got {drag!r}")
    if not (np.isfinite(carried) and carried >= 0):
        problems.append(f"carried_kg: expected 0 or more, got {carried!r}")
    names = [rod.name for rod in rods]
    if not names or len(set(names)) != len(names):
        problems.append(f"rods: expected one or more with different names, got {names}")
    for joint in joints:
        for name in (joint.first, joint.second):
            if name not in names:
                problems.append(
                    f"joint {joint.first}-{joint.second}: expected rods among {names}, got '{name}'"
                )
    if problems:
        raise InputError("\n".join(problems))
