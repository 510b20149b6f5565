"""Rigid segments of the body: mass, centre, inertia and density from a published table.

Sources: de Leva 1996, J Biomech 29:1223-1230; Winter 2005, Biomechanics and Motor Control of Human Movement,
Table 4.1 (after Dempster 1955). The printed tables and their flags are in `shared/`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..ground.tables import read_csv

AXES = ("sag", "trans", "long")  # front-back, left-right, along the segment
SEX_LETTER = {"man": "M", "woman": "F"}


@dataclass(frozen=True)
class Segment:
    """One rigid part of the body; `count` is 2 for a part that each side has.

    Parameters
    ----------
    endpoints : str
        The two landmarks between which `length_m` is measured, as printed in the source.
    length_m : float
        Distance between the endpoints. [m]
    mass_kg : float
        Mass of one of them. [kg]
    centre_fraction : float
        Centre of mass from the first endpoint, as a share of the length.
    inertia_kg_m2 : (float, float, float)
        About the segment's own centre of mass: front-back axis, left-right axis, long axis. [kg m2]
    density_kg_m3 : float
        Tissue density without lung gas, except that the thorax is lighter. [kg/m3]
    count : int
    """

    endpoints: str
    length_m: float
    mass_kg: float
    centre_fraction: float
    inertia_kg_m2: tuple[float, float, float]
    density_kg_m3: float
    count: int

    @property
    def volume_m3(self) -> float:
        """Volume of one of them. [m3]"""
        return self.mass_kg / self.density_kg_m3


def table_row(table: str, *, name: str, sex: str = "") -> Mapping[str, str]:
    """The printed row `name` of a table in `shared/`, as text; `sex` picks one where the table has both."""
    key = next(iter(read_csv(table)[0]))
    for row in read_csv(table):
        if row[key] == name and row.get("sex", "") in ("", SEX_LETTER.get(sex, sex)):
            return row
    raise KeyError(f"shared/{table}.csv has no row '{name}' for '{sex}'")


def make_segments(
    lengths_m: Mapping[str, float], *, stature_m: float, mass_kg: float, sex: str, body_table: str
) -> dict[str, Segment]:
    """All segments of a body. Their masses add up to the body mass.

    The printed shares add up to 1.0000 (men) and 0.9999 (women); they are divided by that sum.

    Parameters
    ----------
    lengths_m : mapping
        Lengths by name, for tables that print none. [m]
    stature_m, mass_kg : float
        Whole body. [m], [kg]
    """
    rows = [row for row in read_csv("body_segments") if row["body_table"] == body_table]
    read = _de_leva_numbers if body_table == "de_leva_1996" else _winter_numbers
    printed = [read(row, sex) for row in rows]
    whole = sum(int(row["count"]) * numbers["mass"] for row, numbers in zip(rows, printed, strict=True))
    segments = {}
    for row, numbers in zip(rows, printed, strict=True):
        length = lengths_m[row["length"]] if row["length"] else numbers["length"] * stature_m
        mass = mass_kg * numbers["mass"] / whole
        radii = numbers["other_radii"] * stature_m
        radii[: len(numbers["radii"])] = np.array(numbers["radii"]) * length
        density = table_row("dempster_winter_segments", name=row["density_row"])["density_kg_per_L"]
        segments[row["segment"]] = Segment(
            endpoints=numbers["endpoints"],
            length_m=length,
            mass_kg=mass,
            centre_fraction=numbers["centre"],
            inertia_kg_m2=tuple((mass * radii**2).tolist()),
            density_kg_m3=1000.0 * float(density),
            count=int(row["count"]),
        )
    return segments


def _de_leva_numbers(row: Mapping[str, str], sex: str) -> dict:
    """Length over stature, mass share, centre and the three radii as shares of the segment length."""
    printed = table_row("de_leva_1996", name=row["row"], sex=sex)
    return {
        "endpoints": printed["endpoints"],
        "length": float(printed["length_over_stature"]),
        "mass": float(printed["mass_frac"]),
        "centre": float(printed["cm_frac"]),
        "radii": [float(printed[f"rg_{axis}"]) for axis in AXES],
        "other_radii": np.zeros(3),
    }


def _winter_numbers(row: Mapping[str, str], sex: str) -> dict:
    """The same from Winter's table, which prints one radius for both cross axes, or none for trunk parts."""
    printed = table_row("dempster_winter_segments", name=row["row"])
    own = printed["rg_cm"]
    return {
        "endpoints": printed["endpoints"],
        "mass": float(printed["mass_frac"]),
        "centre": float(printed["cm_prox"]),
        "radii": [float(own), float(own)] if own else [],
        "other_radii": joined_radii(row["radii_rows"].split("+"), sex=sex),
    }


def joined_radii(names: Sequence[str], *, sex: str) -> np.ndarray:
    """Radii of gyration of neighbouring segments of de Leva 1996 taken as one rigid part, in line.

    Parameters
    ----------
    names : sequence of str
        Rows of the table, from the head downwards, each ending where the next begins.

    Returns
    -------
    numpy.ndarray, shape (3,)
        About the common centre of mass: front-back, left-right, long axis, as shares of stature. The parallel
        axis theorem adds the distances between the centres to the two cross axes.
    """
    rows = [table_row("de_leva_1996", name=name, sex=sex) for name in names]
    length, mass, centre = (
        np.array([float(row[key]) for row in rows]) for key in ("length_over_stature", "mass_frac", "cm_frac")
    )
    radii = np.array([[float(row[f"rg_{axis}"]) for axis in AXES] for row in rows]) * length[:, None]
    place = np.cumsum(length) - length + centre * length
    apart = (place - np.average(place, weights=mass)) ** 2
    return np.sqrt(np.average(radii**2 + np.outer(apart, [1.0, 1.0, 0.0]), axis=0, weights=mass))
