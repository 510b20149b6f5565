"""Added mass: the water that has to be accelerated with a body.

Potential flow, unbounded water unless said. Table: `shared/water_added_mass.csv`.
"""

from __future__ import annotations

import numpy as np

from ..ground.tables import read_csv

SURFACE_SHARE = 0.5  # half-immersed cylinder or plate at the surface against deep (Korotkin, p. 206)


def cylinder_added_mass(radius_m, *, water_kg_m3: float):
    """Of a cylinder across the flow, per metre: rho pi r^2 (Korotkin, p. 206). [kg/m]"""
    return water_kg_m3 * np.pi * np.asarray(radius_m, float) ** 2


def plate_added_mass(half_width_m, *, water_kg_m3: float):
    """Of a long thin plate moved broadside, per metre: rho pi a^2 (Korotkin, p. 206). [kg/m]"""
    return water_kg_m3 * np.pi * np.asarray(half_width_m, float) ** 2


def rectangle_added_mass(short_m: float, long_m: float, *, water_kg_m3: float) -> float:
    """Of a rectangular plate moved broadside: C(long/short) rho pi/4 short^2 long. [kg]

    Notes
    -----
    C after DNV-RP-H103 [memory], straight lines between the printed points, 1 to 10.
    """
    rows = [row for row in read_csv("water_added_mass") if row["body"] == "rectangular plate broadside"]
    rows = [row for row in rows if row["value"] != "inf"]
    slender = [float(row["value"]) for row in rows]
    c = np.interp(long_m / short_m, slender, [float(row["coefficient"]) for row in rows])
    return float(c * water_kg_m3 * np.pi / 4 * short_m**2 * long_m)


def spheroid_added_mass(length_over_diameter) -> tuple[np.ndarray, np.ndarray]:
    """Of a prolate spheroid along and across its axis, as a share of the displaced mass.

    Parameters
    ----------
    length_over_diameter : array_like
        Above 1.

    Notes
    -----
    Lamb, Hydrodynamics [memory].
    """
    e2 = 1 - 1 / np.asarray(length_over_diameter, float) ** 2
    e = np.sqrt(e2)
    log = np.log((1 + e) / (1 - e))
    along = 2 * (1 - e2) / e**3 * (log / 2 - e)
    across = 1 / e2 - (1 - e2) / (2 * e**3) * log
    return along / (2 - along), across / (2 - across)


def glide(time_s, *, speed_m_s: float, drag_kg_m: float, moved_kg: float) -> tuple[np.ndarray, np.ndarray]:
    """Speed and way of a body that coasts against drag with the square of its speed. [m/s], [m]

    Parameters
    ----------
    moved_kg : float
        Mass with added mass.

    Notes
    -----
    Closed form of m dv/dt = -k v^2. [derived]
    """
    grown = 1 + drag_kg_m * speed_m_s * np.asarray(time_s, float) / moved_kg
    return speed_m_s / grown, moved_kg / drag_kg_m * np.log(grown)
