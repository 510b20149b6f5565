"""Force of the water on a limb strip, from the flow across it."""

from __future__ import annotations

import math

import numpy as np

from ..ground.tables import read_csv, read_toml

TINY = 1e-300  # keeps a limb at rest from dividing by nothing


def crossflow(velocity: np.ndarray, way: np.ndarray) -> np.ndarray:
    """Force on a limb for coefficient, half density and area of one: against the velocity across it, with its square.

    Parameters
    ----------
    velocity, way : numpy.ndarray, shape (3, ...)
        Velocity through still water and unit vector along the limb; vectors along the first axis. [m/s], -

    Returns
    -------
    numpy.ndarray, shape (3, ...)
        -|v_n| v_n. [m2/s2]

    Notes
    -----
    Cross-flow rule (the part of the velocity along the limb makes no force) [memory]. Good for flow more than about 20
    degrees off the axis; below that the neglected friction counts, and is small.
    """
    across = velocity - (velocity * way).sum(axis=0) * way
    return -np.sqrt((across * across).sum(axis=0)) * across


def yielded(velocity: np.ndarray, way: np.ndarray) -> np.ndarray:
    """Unit vector along a foot that hangs on a loose ankle: it turns some way towards trailing in the flow.

    Parameters
    ----------
    velocity, way : numpy.ndarray, shape (3, ...)
        Of the foot through still water [m/s]; from heel to toe with the ankle held.

    Notes
    -----
    A share of the angle to the flow, and smoothly no further than the ankle gives; both in `shared/water.toml`
    [practice]. A foot held stiff would take more power than a whole swimmer has.
    """
    leg = read_toml("water")["leg"]
    most = math.radians(leg["ankle_gives_most_deg"])
    flow = -velocity / (np.sqrt((velocity * velocity).sum(axis=0)) + TINY)
    cosine = (flow * way).sum(axis=0)
    aside = flow - cosine * way
    sine = np.sqrt((aside * aside).sum(axis=0))
    turn = most * np.tanh(leg["ankle_gives_share"] / most * np.arctan2(sine, cosine))
    return np.cos(turn) * way + np.sin(turn) * aside / (sine + TINY)


def shed(velocity: np.ndarray, way: np.ndarray) -> np.ndarray:
    """Force of the water that a limb's end leaves moving behind it, for an added mass of one kilogram per metre.

    Parameters
    ----------
    velocity, way : numpy.ndarray, shape (3, ...)
        Velocity of the trailing end through still water; unit vector along the limb towards that end. [m/s], -

    Returns
    -------
    numpy.ndarray, shape (3, ...)
        (|w|^2/2 t - u w) / (1 + |w|^2 / (2 u)^2), with t against `way`, u the velocity along t and w the one across.
        [m2/s2]

    Notes
    -----
    Lighthill 1971, Proc R Soc B 179:125-138, elongated bodies of any amplitude [memory]; its other term, the change of
    the momentum along the limb, is nil over a period and left out. An end that leads (u below 0) sheds nothing. This is
    what lets a kick drive: for small slopes the mean is half the added mass times (mean square of the speed across
    less speed squared times mean square of the slope). Power |w|^2 u / 2 stays in the wake.

    The theory wants flow along the limb. Broadside the flow separates and cross-flow drag is all there is: the factor
    1 / (1 + |w|^2 / (2 u)^2), a half at 63 degrees to the limb, fades one into the other [practice].
    """
    ahead = -way
    along = np.maximum((velocity * ahead).sum(axis=0), 0.0)
    across = velocity - (velocity * way).sum(axis=0) * way
    square = (across * across).sum(axis=0)
    fade = 4 * along * along / np.maximum(4 * along * along + square, TINY)
    return fade * (square / 2 * ahead - along * across)


def crossflow_force(
    velocity_m_s, way, *, breadth_m: float, length_m: float, coefficient: float, water_kg_m3: float
) -> np.ndarray:
    """Cross-flow drag of a covered cylinder, shape (..., 3). [N]

    Parameters
    ----------
    velocity_m_s, way : array_like, shape (..., 3)
    """
    velocity, along = (np.moveaxis(np.asarray(v, float), -1, 0) for v in (velocity_m_s, way))
    shape = np.moveaxis(crossflow(velocity, along), 0, -1)
    return 0.5 * water_kg_m3 * coefficient * breadth_m * length_m * shape


def cylinder_coefficient(length_over_diameter):
    """Drag coefficient of a cylinder across the flow by its slenderness, 1 to 40.

    Notes
    -----
    Aeronautical Engineer's Data Book, p. 95; straight lines in the logarithm between the printed points.
    """
    rows = [row for row in read_csv("water_bluff_bodies") if row["shape"] == "cylinder crossflow, finite"]
    rows = [row for row in rows if row["value_of_parameter"] != "inf"]
    at = np.log([float(row["value_of_parameter"]) for row in rows])
    values = [float(row["Cd"]) for row in rows]
    return np.interp(np.log(np.asarray(length_over_diameter, float)), at, values)


def bluff_body(shape: str, value: str = "") -> float:
    """A printed drag coefficient by shape and value of its parameter, as printed."""
    return next(
        float(row["Cd"])
        for row in read_csv("water_bluff_bodies")
        if row["shape"] == shape and row["value_of_parameter"] == value
    )
