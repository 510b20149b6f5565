"""The body as parts that weigh and displace water: where each begins and ends, its mass, volume and strips.

The ends of every part are fixed mixtures of joint positions, so a whole trace is turned into strips by one
matrix product.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ..ground.conventions import JOINT_INDEX, JOINTS, SIDES
from ..ground.errors import InputError
from ..ground.tables import read_toml
from ..swimmer.anthropometry import Body

CHEST = {"de_leva_1996": "upper_trunk", "winter_dempster": "thorax"}  # the part that holds the lungs
TAPER_MOST = 0.9  # the thinner end keeps a tenth of the mean cross-section
STRIPS = 8
THORAX_DENSITY = (850.0, 1100.0)  # beyond these no chest wall with lungs is meant [kg/m3]


@dataclass(frozen=True)
class Parts:
    """Every part of one body; both sides' limbs are parts of their own.

    Parameters
    ----------
    names : tuple of str, length p
        `head`, `upper_trunk`, ..., `left_thigh`, ...
    ends : numpy.ndarray, shape (2, p, n_joints)
        Weights that mix joint positions (order of JOINTS) to the first and the second end of a part.
    mass_kg, volume_m3, centre, length_m, inertia_kg_m2 : numpy.ndarray, shape (p,)
        Mass; volume with the gas in the lungs; centre of mass as a share from the first end; length; inertia
        about the part's own left-right axis. [kg], [m3], -, [m], [kg m2]
    gas_m3 : float
        Gas in the lungs, residual volume included. [m3]
    strip_at : numpy.ndarray, shape (p, s)
        Middle of each strip as a share from the first end; the strips' centroid is `centre`.
    strip_area_m2 : numpy.ndarray, shape (p, s)
        Cross-section of each strip. [m2]
    breadth_over_depth : numpy.ndarray, shape (p,)
        Shape of the elliptic cross-section.
    """

    names: tuple[str, ...]
    ends: np.ndarray
    mass_kg: np.ndarray
    volume_m3: np.ndarray
    centre: np.ndarray
    length_m: np.ndarray
    inertia_kg_m2: np.ndarray
    gas_m3: float
    strip_at: np.ndarray
    strip_area_m2: np.ndarray
    breadth_over_depth: np.ndarray

    @property
    def strip_volume_m3(self) -> np.ndarray:
        """Volume of every strip, shape (p, s). [m3]"""
        return self.strip_area_m2 * (self.length_m / self.strip_at.shape[1])[:, None]

    @property
    def half_depth_m(self) -> np.ndarray:
        """Half the front-to-back depth of every strip, shape (p, s). [m]"""
        return np.sqrt(self.strip_area_m2 / (np.pi * self.breadth_over_depth[:, None]))

    def strip_weights(self, own: np.ndarray) -> np.ndarray:
        """Weights that mix joint positions to the strips of some parts, shape (len(own) * s, n_joints)."""
        first, second = self.ends[:, own]
        share = self.strip_at[own][..., None]
        return (first[:, None] + share * (second - first)[:, None]).reshape(-1, len(JOINTS))

    def at(self, joints_m: np.ndarray, share: np.ndarray) -> np.ndarray:
        """World positions at shares of the parts, shape (n_frames, p, s, 3) for `share` (p, s). [m]"""
        first, second = (end @ np.asarray(joints_m, float) for end in self.ends)
        return first[:, :, None] + share[None, :, :, None] * (second - first)[:, :, None]


def lung_volumes_m3(body: Body) -> tuple[float, float]:
    """Residual volume and vital capacity of an immersed swimmer of this stature and sex. [m3]

    Notes
    -----
    Capacity by sex from Kapus et al., residual share and immersion effect as printed in `shared/float.toml`.
    Vital capacity loses 8.9 % in water, the residual volume is left as it is.
    """
    lungs = read_toml("float")["lungs"]
    size = (body.stature_m / lungs["reference_stature_m"][body.sex]) ** 3
    capacity = 1e-3 * lungs["vital_capacity_l"][body.sex] * size
    return lungs["residual_share"][body.sex] * capacity, lungs["immersed_share"] * capacity


def float_parts(
    body: Body, *, fullness: float = 0.0, thorax_density_kg_m3: float | None = None, strips: int = STRIPS
) -> Parts:
    """Cut a body into parts and strips, with gas in its lungs.

    Parameters
    ----------
    fullness : float
        Gas above residual volume as a share of vital capacity, 0..1.
    thorax_density_kg_m3 : float, optional
        Density of the chest at residual volume; default that of the body table. [kg/m3]
    strips : int
        Strips per part.

    Raises
    ------
    InputError
        A value out of range; all of them in one text.
    """
    low, high = THORAX_DENSITY
    problems = []
    if not 0 <= fullness <= 1:
        problems.append(f"fullness: expected 0 to 1 (share of vital capacity), got {fullness!r}")
    if thorax_density_kg_m3 is not None and not low <= thorax_density_kg_m3 <= high:
        problems.append(
            f"thorax_density_kg_m3: expected {low:g} to {high:g} kg/m3, got {thorax_density_kg_m3!r}"
        )
    if not (isinstance(strips, int) and strips >= 2):
        problems.append(f"strips: expected a whole number, 2 or more, got {strips!r}")
    if problems:
        raise InputError("\n".join(problems))
    return _cut(body, fullness, thorax_density_kg_m3, strips)


def _cut(body: Body, fullness: float, thorax_density: float | None, strips: int) -> Parts:
    shape = read_toml("float")["shape"]
    residual, capacity = lung_volumes_m3(body)
    rows = []
    for name, segment in body.segments.items():
        volume = segment.volume_m3
        if name == CHEST[body.table]:
            volume = segment.mass_kg / (thorax_density or segment.density_kg_m3) + fullness * capacity
        for prefix in [f"{side}_" for side in SIDES] if segment.count == 2 else [""]:
            first, second, length, centre = _ends(body, name, prefix)
            inertia = segment.inertia_kg_m2[1]
            rows.append(
                (
                    prefix + name,
                    (first, second),
                    segment.mass_kg,
                    volume,
                    centre,
                    length,
                    inertia,
                    shape[name],
                )
            )
    names, ends, *columns = zip(*rows, strict=True)
    mass, volume, centre, length, inertia, ratio = (np.array(column, float) for column in columns)
    at, area = _strips(volume, centre, length, strips)
    return Parts(
        names, np.array(ends).transpose(1, 0, 2), mass, volume, centre, length, inertia,
        residual + fullness * capacity, at, area, ratio,
    )  # fmt: skip


def _strips(volume: np.ndarray, centre: np.ndarray, length: np.ndarray, strips: int):
    """Strips of a straight taper whose centroid is the centre of mass; what taper cannot give is a shift."""
    at = np.broadcast_to((np.arange(strips) + 0.5) / strips, (len(volume), strips))
    spread = 1 - 1 / strips**2  # a sum of middles sees this much of the taper's first moment
    taper = np.clip(6 * (centre - 0.5) / spread, -TAPER_MOST, TAPER_MOST)[:, None]
    share = 1 + taper * (2 * at - 1)
    shift = centre - (share * at).mean(axis=1)
    return at + shift[:, None], share * (volume / length)[:, None]


def _ends(body: Body, name: str, prefix: str) -> tuple[np.ndarray, np.ndarray, float, float]:
    """Weights of both ends, length [m] and centre share of one part."""
    segment = body.segments[name]
    length, centre = segment.length_m, segment.centre_fraction
    if name in TRUNK:
        return _trunk_part(body, name)
    if name == "head":
        if body.table == "winter_dempster":  # printed from shoulder level to the ear, centre at the ear
            ear = body.face_m["ear"][0] / body.head_m
            return _mix({"thorax": 1.0}), _mix({"neck": 1 - ear, "head_top": ear}), length, centre
        share = length / body.head_m
        return _mix({"head_top": 1.0}), _mix({"head_top": 1 - share, "neck": share}), length, centre
    if name == "hand":  # to the fingertip: what is printed to the knuckle has its centre near that end
        whole = body.hand_to_fingertip_m
        length, centre = whole, centre * length / whole
    first, second = LIMBS[name]
    if name == "foot" and body.table == "winter_dempster":
        return (
            _mix({prefix + "ankle": 1.0}),
            _mix({prefix + "ankle": 0.5, prefix + "toe": 0.5}),
            length,
            centre,
        )
    return _mix({prefix + first: 1.0}), _mix({prefix + second: 1.0}), length, centre


TRUNK = ("lower_trunk", "middle_trunk", "upper_trunk", "abdomen_pelvis", "thorax")  # from the hips upwards
LIMBS = {
    "upper_arm": ("shoulder", "elbow"),
    "forearm": ("elbow", "wrist"),
    "hand": ("wrist", "fingertip"),
    "thigh": ("hip", "knee"),
    "shank": ("knee", "ankle"),
    "foot": ("heel", "toe"),
}


def _trunk_part(body: Body, name: str) -> tuple[np.ndarray, np.ndarray, float, float]:
    """One part of the trunk; the topmost reaches to the base of the neck, its centre stays where it is printed."""
    parts = [part for part in TRUNK if part in body.segments]
    low = sum(body.segments[part].length_m for part in parts[: parts.index(name)])
    segment = body.segments[name]
    printed = segment.length_m
    length = body.trunk_m + body.neck_m - low if name == parts[-1] else printed
    centre = 1 - (1 - segment.centre_fraction) * printed / length

    def at_height(height):
        return _mix({"pelvis": 1 - height / body.trunk_m, "thorax": height / body.trunk_m})

    return at_height(low + length), at_height(low), length, centre


def _mix(weights: Mapping[str, float]) -> np.ndarray:
    """Row of weights over all joints."""
    row = np.zeros(len(JOINTS))
    for name, weight in weights.items():
        row[JOINT_INDEX[name]] = weight
    return row
