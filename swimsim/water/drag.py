"""Drag of the swimming body: k v^n, and what head, posture and depth change about it.

The law holds for the whole body but the stroking arms and the moving legs, whose strips have forces of their own.
"""

from __future__ import annotations

import numpy as np

from ..ground.errors import InputError, nearest
from ..ground.tables import read_csv, read_toml
from ..swimmer.anthropometry import Body


def drag_force(speed_m_s, *, k: float, n: float = 2.0):
    """Drag k v^n against the direction of travel; a body that moves backwards is dragged forwards. [N]

    Parameters
    ----------
    speed_m_s : array_like
        [m/s]
    k : float
        Drag at 1 m/s. [N]
    n : float
        Published 2.0 to 2.3 (one study 3.3, good up to 1.4 m/s only).
    """
    speed = np.asarray(speed_m_s, float)
    return k * speed * np.abs(speed) ** (n - 1)


def published_drag(law: str, speed_m_s):
    """Drag by one of the published laws, named by its row in `shared/water_drag_laws.csv` (`D1` to `D10`). [N]

    Raises
    ------
    InputError
        An unknown law, or a speed outside the range in which it was measured.
    """
    rows = {row["id"]: row for row in read_csv("water_drag_laws")}
    if law not in rows:
        raise InputError(f"law: expected one of {', '.join(rows)}, got '{law}'; {nearest(law, rows)}")
    row, speed = rows[law], np.asarray(speed_m_s, float)
    low, _, high = row["v_range"].partition("-")
    if high and not ((speed >= float(low)) & (speed <= float(high))).all():
        raise InputError(f"speed_m_s: law {law} was measured from {low} to {high} m/s, got {speed_m_s!r}")
    return drag_force(speed, k=float(row["A"]), n=float(row["n"]))


def drag_factor(body: Body) -> float:
    """Active drag of this body at 1 m/s, in the posture of a trained swimmer. [N, kg/m where n = 2]

    Notes
    -----
    30 for men of 1.80 m, 22 for women of 1.68 m, with stature squared [practice]; `shared/water.toml` has the studies.
    """
    drag = read_toml("water")["drag"]
    return drag["k_kg_m"][body.sex] * (body.stature_m / drag["reference_stature_m"][body.sex]) ** 2


def wave_share(speed_m_s):
    """Share of the drag at the surface that goes into waves.

    Notes
    -----
    12.1 % at 1.89 m/s, none below 1.6 m/s (Toussaint et al. 2002); straight between, and held above. [practice]
    """
    wave = read_toml("water")["wave"]
    ends = (wave["none_below_m_s"], wave["share_at_m_s"])
    return np.interp(speed_m_s, ends, (0.0, wave["share"]))


def depth_factor(speed_m_s, deeper_m):
    """Factor on the drag of a body that lies deeper than a swimmer does: its wave drag fades until 0.4 m deeper."""
    gone = read_toml("water")["wave"]["gone_at_depth_m"]
    return 1 - wave_share(speed_m_s) * np.clip(np.asarray(deeper_m, float) / gone, 0.0, 1.0)


def head_factor(extension_rad, *, saves: float | None = None):
    """Factor on the drag by neck extension: 1 with the head in line, about 1.08 with the face forward.

    Parameters
    ----------
    extension_rad : array_like
        Angle of the head to the trunk, chin forward positive. [rad]
    saves : float, optional
        Share of the head-up drag that an aligned head saves; default the mean of arms at the sides and overhead.

    Notes
    -----
    Cortesi and Gatta 2015; a smooth step between 12 and 45 degrees. [practice]
    """
    posture = read_toml("water")["posture"]
    saves = posture["head_saves"]["value"] if saves is None else saves
    low, high = np.radians([posture["head_aligned_deg"], posture["head_up_deg"]])
    up = np.clip((np.asarray(extension_rad, float) - low) / (high - low), 0.0, 1.0)
    return 1 + np.multiply(saves / (1 - np.asarray(saves)), up * up * (3 - 2 * up))


def area_factor(area, reference, *, follows: float | None = None):
    """Factor on the drag by frontal area, inside the published range.

    Parameters
    ----------
    area, reference : array_like
        Frontal area of this posture and of the one that the drag factor belongs to. [m2]
    follows : float, optional
        Exponent: 1 the drag goes with the area, 0 not at all. Default 0.8.
    """
    posture = read_toml("water")["posture"]
    follows = posture["follows"]["value"] if follows is None else follows
    return np.clip((np.asarray(area, float) / reference) ** follows, posture["least"], posture["most"])
