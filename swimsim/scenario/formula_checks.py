"""Single formulas of the water against printed values: what the model's own function gives, band, source.

The values stand in `shared/water_check_values.csv`; here is which function answers each. Rows that compare two
studies and ask nothing of the model are named in `COMPARED`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping

import numpy as np

from ..ground.tables import read_csv, read_toml
from ..swimmer.anthropometry import make_body
from ..water.added_mass import cylinder_added_mass, glide, spheroid_added_mass
from ..water.buoyancy import GRAVITY_M_S2, buoyancy
from ..water.drag import drag_force, head_factor, published_drag, wave_share
from ..water.float_parts import float_parts
from ..water.float_posture import straight_body
from ..water.hand import hand_drag_coefficient, hand_force, hand_lift_coefficient
from ..water.limbs import bluff_body, cylinder_coefficient
from ..water.power import paddle_wheel_efficiency, ripple_cost, speed_from_power
from ..water.properties import density, kinematic_viscosity
from .outside import Outside

DIGITS = 5  # of the printed table
SPHEROID = "5"  # length over breadth: near a swimmer's; a test holds all that are printed
FLAGS = {"read": "read", "memory": "memory", "formula": "derived", "algebra": "derived"}


def _hand_n() -> float:
    """Plane-on hand of 0.015 m2 at 2.5 m/s."""
    return abs(
        hand_force(
            [-2.5, 0, 0], normal=[1.0, 0, 0], thumb_way=[0, 0, 1.0], area_m2=0.015, water_kg_m3=density(28)
        )[0]
    )


def _glide(place: int) -> float:
    """Speed (0) or way (1) after one second."""
    return float(glide(1.0, speed_m_s=2.5, drag_kg_m=25.0, moved_kg=75 * 1.25)[place])


def _lung_free_kg_l() -> float:
    parts = float_parts(make_body(1.741, sex="man"), thorax_density_kg_m3=1030.0)
    return 1e-3 * float(parts.mass_kg.sum() / parts.volume_m3.sum())


def _glide_torque_nm() -> float:
    body = make_body(1.80, mass_kg=75.0)
    return float(buoyancy(float_parts(body), straight_body(body, depth_m=1.0)).torque_nm[0])


#: Row of the table -> how the model gives it.
MODEL: Mapping[str, Callable[[], float]] = {
    "K07": _lung_free_kg_l,
    "K08": lambda: density(26),
    "K09": lambda: 1e6 * kinematic_viscosity(28),
    "K10": lambda: published_drag("D1", 1.5),
    "K11": lambda: published_drag("D2", 1.5),
    "K12": lambda: drag_force(1.5, k=25.0),
    "K14": lambda: drag_force(2.20, k=37.2) * 2.20,
    "K16": lambda: 11.5 / wave_share(1.89),
    "K17": _hand_n,
    "K19": lambda: paddle_wheel_efficiency(1.5, 0.85, reach_m=0.55),
    "K20": lambda: paddle_wheel_efficiency(1.2, 0.60, reach_m=0.52),
    "K21": lambda: paddle_wheel_efficiency(2.0 * 0.7, 0.7, reach_m=0.5),
    "K22": lambda: speed_from_power(1687.5, k=30.0, efficiency=0.1 * 0.6),
    "K23": lambda: speed_from_power(100.0, k=27.0) / speed_from_power(100.0, k=30.0),
    "K24": _glide_torque_nm,
    "K25": lambda: density(26) * GRAVITY_M_S2 * 0.001,
    "K27": lambda: cylinder_added_mass(0.045, water_kg_m3=997.0),
    "K28": lambda: _glide(0),
    "K29": lambda: _glide(1),
    "K35": lambda: ripple_cost(0.1),
}
#: Rows that hold one study against another, or ask for what the model does not use.
COMPARED = {
    "K13": "two studies of active against passive drag",
    "K15": "one study's own force, area and speed",
    "K18": "accelerated against steady flow in one study; the unsteady gain holds more than that",
    "K26": "gas that floats a body without lungs",
    "K34": "hull speed, which the model does not use",
}


def formula_checks() -> list[Outside]:
    """Every formula with a printed value."""
    return [*_tabled(), *_coefficients(), *_added_mass()]


def _tabled() -> Iterator[Outside]:
    for row in read_csv("water_check_values"):
        if row["id"] in MODEL:
            ends = float(row["low"]), float(row["high"])
            value = float(MODEL[row["id"]]())
            yield Outside(row["quantity"], "in the name", value, *ends, row["source"], FLAGS[row["basis"]])


def _coefficients() -> Iterator[Outside]:
    """Hand, plates, cylinders, the lifted head; half a unit of the last printed digit counts as met."""
    rouboa = "Rouboa et al. 2006, J Biomech 39:1239-1248; band of later plots [memory]"
    yield Outside(
        "drag coefficient of a hand, plane-on",
        "1",
        float(hand_drag_coefficient(math.pi / 2)),
        1.0,
        1.4,
        rouboa,
    )
    berger = "Berger, de Groot, Hollander 1995, J Biomech 28:125-133"
    pitch = np.radians(np.arange(0, 90, 0.01))
    for lead, sweepback, printed in (("thumb", 0.0, 31.0), ("little finger", math.pi, 48.0)):
        found = float(np.degrees(pitch[hand_lift_coefficient(pitch, sweepback).argmax()]))
        yield Outside(
            f"pitch of most lift, {lead} leading", "deg", found, printed - 0.5, printed + 0.5, berger
        )
    data_book = "Aeronautical Engineer's Data Book, p. 95"
    for what, value, printed in (
        ("drag coefficient of a square plate", bluff_body("square plate normal", "1"), 1.17),
        ("drag coefficient of a cylinder of 5 diameters", float(cylinder_coefficient(5)), 0.74),
        ("drag coefficient of an endless cylinder", bluff_body("cylinder crossflow, finite", "inf"), 1.20),
    ):
        yield Outside(what, "1", value, printed - 0.005, printed + 0.005, data_book)
    saved = 100 * (1 - 1 / float(head_factor(math.radians(60))))
    cortesi = "Cortesi, Gatta 2015, J Hum Kinet 49:37-45: arms at the sides 4 to 5.2, overhead 10.4 to 10.9"
    yield Outside("drag that a head in line saves", "%", saved, 4.0, 10.9, cortesi)
    shares = read_toml("water")["posture"]
    zamparo = "Zamparo et al. 2009, Eur J Appl Physiol 106:195-205: 0.40 m2 swimming, 0.24 m2 towed"
    yield Outside("most that a posture adds to the drag", "times", float(shares["most"]), 1.0, 1.667, zamparo)


def _added_mass() -> Iterator[Outside]:
    for row in read_csv("water_added_mass"):
        if row["body"].startswith("prolate spheroid") and row["value"] == SPHEROID:
            way = 0 if row["body"].endswith("surge") else 1
            printed = float(row["coefficient"])
            found = float(spheroid_added_mass(float(row["value"]))[way])
            name = f"added mass, {row['body']}, length over breadth {row['value']}"
            yield Outside(name, "1", found, printed - 5e-5, printed + 5e-5, "Lamb, Hydrodynamics", "derived")
