"""The swimmer's body from stature, mass and sex: lengths between joints and the rigid segments.

Two published body tables are a named choice and are never mixed: `de_leva_1996` (lengths and segments of
de Leva 1996, men and women) and `winter_dempster` (segments of Winter 2005 after Dempster 1955 with the
lengths of Drillis and Contini 1966, one set for both sexes). `shared/body_lengths.csv` says where each length
comes from and how far it can be trusted; widths between joint centres, thumb, heel and face points are in
neither table.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from ..ground.errors import InputError, nearest
from ..ground.tables import read_csv
from .segments import Segment, make_segments, table_row

BODY_TABLES = ("de_leva_1996", "winter_dempster")
SEXES = ("woman", "man")
STATURE_M = (1.30, 2.20)  # the tables describe adults; presets are checked from 1.45 to 2.05 m
BODY_MASS_INDEX = (14.0, 40.0)  # beyond these the segment shares of the tables mean nothing [kg/m2]


@dataclass(frozen=True)
class Body:
    """One swimmer's body. Every length is in metres.

    Parameters
    ----------
    stature_m, mass_kg : float
        Standing height and body mass. [m], [kg]
    sex : str
        `woman` or `man`.
    table : str
        The body table used.
    upper_arm_m, forearm_m : float
        Shoulder to elbow, elbow to wrist joint centre.
    hand_to_knuckles_m, hand_to_fingertip_m : float
        Wrist to third knuckle, wrist to third fingertip.
    thumb_along_m, thumb_across_m : float
        Thumb tip from the wrist: along the hand, and sideways on the thumb side.
    shoulder_width_m, hip_width_m : float
        Between the two joint centres (not acromia, not trochanters).
    trunk_m : float
        Mid-shoulder to mid-hip.
    neck_m, head_m : float
        Mid-shoulder to the base of the neck, base of the neck to the top of the head.
    thigh_m, shank_m : float
        Hip to knee joint centre, knee to ankle.
    foot_m, heel_back_m, toe_forward_m, ankle_height_m : float
        Heel to toe tip; its two parts behind and before the ankle, along the sole; ankle above the sole.
    lengths_m : mapping
        Every length above and a few more (`biacromial_m`, `hip_breadth_m`) by name.
    face_m : mapping of str to (float, float, float)
        `chin, nose, eye, ear` from the base of the neck: along the head to its top, towards the face,
        outwards. [m]
    segments : mapping of str to Segment
    """

    stature_m: float
    mass_kg: float
    sex: str
    table: str
    upper_arm_m: float
    forearm_m: float
    hand_to_knuckles_m: float
    hand_to_fingertip_m: float
    thumb_along_m: float
    thumb_across_m: float
    shoulder_width_m: float
    hip_width_m: float
    trunk_m: float
    neck_m: float
    head_m: float
    thigh_m: float
    shank_m: float
    foot_m: float
    heel_back_m: float
    toe_forward_m: float
    ankle_height_m: float
    lengths_m: Mapping[str, float] = field(hash=False)
    face_m: Mapping[str, tuple[float, float, float]] = field(hash=False)
    segments: Mapping[str, Segment] = field(hash=False)

    @property
    def arm_m(self) -> float:
        """Shoulder to knuckles with the arm straight. [m]"""
        return self.upper_arm_m + self.forearm_m + self.hand_to_knuckles_m

    @property
    def leg_m(self) -> float:
        """Hip to ankle with the leg straight. [m]"""
        return self.thigh_m + self.shank_m

    @property
    def volume_m3(self) -> float:
        """Volume of all segments. [m3]"""
        return sum(part.count * part.volume_m3 for part in self.segments.values())

    @property
    def density_kg_m3(self) -> float:
        """Mass over volume, without lung gas beyond what the light thorax stands for. [kg/m3]"""
        return self.mass_kg / self.volume_m3


def make_body(
    stature_m: float, *, mass_kg: float | None = None, sex: str = "man", body_table: str = "de_leva_1996"
) -> Body:
    """A body of the given size from a published body table.

    Parameters
    ----------
    stature_m : float
        Standing height, 1.30 to 2.20. [m]
    mass_kg : float, optional
        Body mass, for a body mass index of 14 to 40. Default: the mean index of the people measured by
        de Leva 1996 (24.1 kg/m2 for men, 20.6 kg/m2 for women), for both body tables. [kg]
    sex : str
        `woman` or `man`.
    body_table : str
        `de_leva_1996` or `winter_dempster`.

    Raises
    ------
    InputError
        A value out of range or an unknown word; all of them in one text.
    """
    problems = _word_problems(sex, body_table) + _size_problems(stature_m, mass_kg)
    if problems:
        raise InputError("\n".join(problems))
    mass_kg = default_mass(stature_m, sex=sex) if mass_kg is None else float(mass_kg)
    lengths = _lengths(float(stature_m), sex=sex, body_table=body_table)
    fields = {name: lengths[name] for name in Body.__dataclass_fields__ if name in lengths}
    return Body(
        **fields,
        mass_kg=mass_kg,
        sex=sex,
        table=body_table,
        lengths_m=lengths,
        face_m=_face_points(lengths),
        segments=make_segments(
            lengths, stature_m=float(stature_m), mass_kg=mass_kg, sex=sex, body_table=body_table
        ),
    )


def default_mass(stature_m: float, *, sex: str) -> float:
    """Mass at the mean body mass index of the people measured by de Leva 1996. [kg]"""
    mean = table_row("mean_subjects", name=sex)
    return float(mean["mass_kg"]) * (stature_m / float(mean["stature_m"])) ** 2


def _lengths(stature_m: float, *, sex: str, body_table: str) -> dict[str, float]:
    """Every row of `shared/body_lengths.csv` that holds for this sex and table, in metres."""
    lengths = {"stature_m": stature_m}
    for row in read_csv("body_lengths"):
        if row["body_table"] not in ("any", body_table) or row["sex"] not in ("any", sex):
            continue
        if row["base"] in lengths:
            lengths[row["quantity"]] = lengths[row["base"]] * float(row["value"])
        else:
            printed = table_row(row["base"], name=row["value"], sex=sex)
            share = printed.get("length_over_stature") or printed["fraction_of_H"]
            lengths[row["quantity"]] = stature_m * float(share)
    return lengths


def _face_points(lengths: Mapping[str, float]) -> dict[str, tuple[float, float, float]]:
    """Face points from the base of the neck; the nose and chin lie in the middle plane."""
    names = ("chin", "nose", "eye", "ear")
    return {
        n: (lengths[f"{n}_along_m"], lengths[f"{n}_forward_m"], lengths.get(f"{n}_out_m", 0.0)) for n in names
    }


def _word_problems(sex: str, body_table: str) -> list[str]:
    problems = []
    if sex not in SEXES:
        problems.append(f"sex: expected one of {', '.join(SEXES)}, got '{sex}'; {nearest(sex, SEXES)}")
    if body_table not in BODY_TABLES:
        problems.append(
            f"body_table: expected one of {', '.join(BODY_TABLES)}, got '{body_table}'; "
            f"{nearest(body_table, BODY_TABLES)}"
        )
    return problems


def _size_problems(stature_m: float, mass_kg: float | None) -> list[str]:
    low, high = STATURE_M
    if not (_is_number(stature_m) and low <= stature_m <= high):
        hint = "; was it given in centimetres?" if _is_number(stature_m) and 130 <= stature_m <= 220 else ""
        return [f"stature_m: expected {low:.2f} to {high:.2f} m, got {stature_m!r}{hint}"]
    least, most = (index * stature_m**2 for index in BODY_MASS_INDEX)
    if mass_kg is not None and not (_is_number(mass_kg) and least <= mass_kg <= most):
        return [
            f"mass_kg: expected {least:.1f} to {most:.1f} kg for a stature of {stature_m:g} m "
            f"(body mass index {BODY_MASS_INDEX[0]:g} to {BODY_MASS_INDEX[1]:g} kg/m2), got {mass_kg!r}"
        ]
    return []


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)
