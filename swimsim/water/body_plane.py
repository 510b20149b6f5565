"""Rods in the swimming plane: the rigid bodies that float, with their strips of water.

A rod's own axis runs towards the head; its place is that of its centre of mass, its angle the slope of the axis
(positive: head end higher). x is forward, z up.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..ground.errors import InputError

DENSEST = 3000.0  # no part of a body, and no float or weight that it carries, is denser [kg/m3]


@dataclass(frozen=True)
class Rod:
    """One rigid body in the plane.

    Parameters
    ----------
    name : str
    mass_kg, inertia_kg_m2 : float
        Mass, and inertia about the centre of mass. [kg], [kg m2]
    at_m, length_m, area_m2, half_height_m, half_breadth_m : numpy.ndarray, shape (s,)
        Strips: middle along the axis from the centre of mass, length along it, cross-section, half its size in
        the plane and across the plane. [m], [m], [m2], [m], [m]
    drag_coefficient : float
        Of the flow across the rod, on the breadth.
    added_along_kg : float
        Added mass along the axis. [kg]
    """

    name: str
    mass_kg: float
    inertia_kg_m2: float
    at_m: np.ndarray
    length_m: np.ndarray
    area_m2: np.ndarray
    half_height_m: np.ndarray
    half_breadth_m: np.ndarray
    drag_coefficient: float = 1.0
    added_along_kg: float = 0.0

    def __post_init__(self) -> None:
        problems = [
            f"rod '{self.name}': {name}: expected a positive, finite number, got {value!r}"
            for name, value in (("mass_kg", self.mass_kg), ("inertia_kg_m2", self.inertia_kg_m2))
            if not (np.isfinite(value) and value > 0)
        ]
        strips = ("at_m", "length_m", "area_m2", "half_height_m", "half_breadth_m")
        for name in strips:
            values = np.array(getattr(self, name), float)
            object.__setattr__(self, name, values)
            if values.shape != (len(np.atleast_1d(self.at_m)),) or not np.isfinite(values).all():
                problems.append(f"rod '{self.name}': {name}: expected one finite number per strip")
            elif name != "at_m" and (values <= 0).any():
                problems.append(f"rod '{self.name}': {name}: expected positive numbers, got {values.min():g}")
        if not problems and self.mass_kg > DENSEST * self.volume_m3:
            problems.append(
                f"rod '{self.name}': {self.mass_kg:g} kg in {1000 * self.volume_m3:g} L is denser than "
                f"{DENSEST:g} kg/m3; was a length given in centimetres or a mass in grams?"
            )
        for name in ("drag_coefficient", "added_along_kg"):
            if not getattr(self, name) >= 0:
                problems.append(f"rod '{self.name}': {name}: expected 0 or more, got {getattr(self, name)!r}")
        if problems:
            raise InputError("\n".join(problems))

    @property
    def volume_m3(self) -> float:
        """Volume of all strips. [m3]"""
        return float((self.area_m2 * self.length_m).sum())


def cylinder(
    name: str,
    *,
    mass_kg: float,
    length_m: float,
    radius_m: float,
    strips: int = 10,
    drag_coefficient: float = 1.0,
) -> Rod:
    """A uniform round cylinder, floating on its side."""
    one = np.ones(strips)
    return Rod(
        name,
        mass_kg,
        mass_kg * (length_m**2 / 12 + radius_m**2 / 4),
        at_m=length_m * ((np.arange(strips) + 0.5) / strips - 0.5),
        length_m=one * length_m / strips,
        area_m2=one * np.pi * radius_m**2,
        half_height_m=one * radius_m,
        half_breadth_m=one * radius_m,
        drag_coefficient=drag_coefficient,
    )
