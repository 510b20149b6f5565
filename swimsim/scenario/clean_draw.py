"""A swimmer without a fault as keys of a scenario, drawn from the distribution in `shared/clean_swimmers.toml`."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from ..ground.conventions import SIDES
from ..ground.tables import read_toml
from ..stroke.pattern import StrokePattern, fields_by_name
from ..stroke.presets import make_pattern, recovery_targets
from ..swimmer.anthropometry import Body, make_body

Keys = dict[str, Any]


def drawn_keys(seed: int, number: int, attempt: int = 0) -> Keys:
    """Keys of the scenario of one drawn swimmer; the same three numbers give the same keys.

    Parameters
    ----------
    seed, number : int
        Of the family of swimmers, and of one swimmer in it.
    attempt : int
        0 for the first draw of that swimmer, 1 for the draw that takes its place, and so on.
    """
    table, rng = read_toml("clean_swimmers"), np.random.default_rng((seed, number, attempt))
    pace = _one_of(rng, list(table["pace"]))
    sex = _one_of(rng, table["body"]["sex"])
    stature = round(float(rng.uniform(*table["body"]["stature_m"])), 3)
    index = _around(rng, table["body"]["mass_index"], table["body"]["mass_index"]["mean"][sex])
    swimmer = {"stature_m": stature, "mass_kg": round(index * stature**2, 1), "sex": sex}
    side, every = _way_to_breathe(rng, table["breathing"]["ways"])
    row = table["pace"][pace]
    beats = _by_share(rng, {int(number): share for number, share in row["kick"].items()})
    body = make_body(stature, mass_kg=swimmer["mass_kg"], sex=sex)
    recovery = "straight" if rng.uniform() < row["straight"] else "bent"
    own = make_pattern(row["preset"][sex], body, kick_beats=beats, targets=recovery_targets(recovery, body))
    arms = {**table["arm"], **(table["straight_arm"] if recovery == "straight" else {})}
    return {
        "title": f"Clean swimmer {number} of seed {seed}: {pace}, {sex}",
        "seed": int(rng.integers(2**32)),
        "swimmer": swimmer,
        "stroke": {
            "preset": row["preset"][sex],
            "recovery": recovery,
            "variability": True,
            **(timing := _timing(rng, table["timing"], own)),
            **_tempo(rng, row, own, shorter=table["timing"]["shorter"] * 100 * _more(timing, own)),
            **_deeper(_arms(rng, arms, own=own, body=body), timing, own=own, body=body),
            **_rolls(rng, table["roll"], own=own, body=body),
            **_trunk(rng, table["trunk"], own=own, body=body),
        },
        "breathing": {"side": side, "every": every},
        "kick": {"beats": beats},
    }


def _one_of(rng: np.random.Generator, values: list) -> Any:
    return values[int(rng.integers(len(values)))]


def _by_share(rng: np.random.Generator, shares: Mapping[Any, float]) -> Any:
    """One of the keys, each as often as its share says."""
    edges = np.cumsum(list(shares.values()))
    return list(shares)[int(np.searchsorted(edges, rng.uniform(0, edges[-1]), side="right"))]


def _way_to_breathe(rng: np.random.Generator, ways: list) -> tuple[str, int]:
    return _by_share(rng, {(side, every): share for side, every, share in ways})


def _around(rng: np.random.Generator, row: dict, mean: float = 0.0) -> float:
    """A normal number around `mean`, drawn again until its offset lies between `least` and `most`."""
    while not row["least"] <= (offset := float(rng.normal(0.0, row["sd"]))) <= row["most"]:
        pass
    return mean + offset


def _on_sides(rng: np.random.Generator, row: dict) -> dict[str, float]:
    """Offsets of left and right: what both share, and each side's own part of the natural difference."""
    common = _around(rng, row)
    return {side: common + float(rng.normal(0.0, row["sides"])) for side in SIDES}


def _factor(unit: str, body: Body) -> float:
    """SI units in one unit of the table."""
    reach = body.upper_arm_m + body.forearm_m + body.hand_to_fingertip_m
    return {
        "deg": math.pi / 180,
        "percent": 0.01,
        "half_widths": body.shoulder_width_m / 2,
        "stature_percent": body.stature_m / 100,
        "arms": reach,
    }[unit]


def _key(parameter: str, value: float) -> tuple[str, float]:
    """Key and number of a scenario for a pattern parameter in SI: angles in degrees, all in readable digits."""
    if parameter.endswith("_rad"):
        return parameter.removesuffix("_rad") + "_deg", round(math.degrees(value), 2)
    return parameter, round(value, 5 if parameter.endswith("_share") else 4)


def _named(stem: str) -> str:
    """Full name of the pattern parameter with this stem: `exit_past_hip` is `exit_past_hip_m`."""
    return next(name for name in fields_by_name() if name.rpartition("_")[0] == stem)


def _tempo(rng: np.random.Generator, row: dict, own: StrokePattern, *, shorter: float) -> Keys:
    """Stroke rate around the preset's, and the speed that a stroke length around the preset's gives."""
    rate = _around(rng, row["rate"], own.stroke_rate_hz * 60)
    length = own.stroke_length_m * _around(rng, row["length"], 1.0) * (1 - shorter)
    return {"stroke_rate_per_min": round(rate, 2), "speed_m_s": round(rate / 60 * length, 4)}


def _timing(rng: np.random.Generator, rows: dict, own: StrokePattern) -> Keys:
    """Phases of both arms, from catch-up to overlap, and the beat of one arm against the other. [share]"""
    propulsion, recovery = (_on_sides(rng, rows[name]) for name in ("propulsion", "recovery"))
    lag = own.arm_lag_share + _around(rng, rows["arm_lag"]) / 100
    keys = {"arm_lag_share": round(lag, 5), "lead_hand_still_share": 0.0}  # 0: as the timing makes it
    for side in SIDES:
        arm, push, back = getattr(own, side), propulsion[side] / 100, recovery[side] / 100
        keys |= {
            f"{side}_entry_catch_share": round(arm.entry_catch_share - push - back, 5),
            f"{side}_pull_share": round(arm.pull_share + push / 2, 5),
            f"{side}_push_share": round(arm.push_share + push / 2, 5),
        }
    return keys


def _arms(rng: np.random.Generator, rows: dict, *, own: StrokePattern, body: Body) -> Keys:
    keys = {}
    for stem, row in rows.items():
        name, offsets = _named(stem), _on_sides(rng, row)
        for side in SIDES:
            value = getattr(getattr(own, side), name) + offsets[side] * _factor(row["unit"], body)
            keys |= dict([_key(f"{side}_{name}", value)])
    return keys


def _deeper(keys: Keys, timing: Keys, *, own: StrokePattern, body: Body) -> Keys:
    """The depth of both hands, more where the arms have less time ahead."""
    per_share = 100 * read_toml("clean_swimmers")["timing"]["deeper_arms"] * _factor("arms", body)
    more = per_share * _more(timing, own)
    return {key: round(value + more, 4) if "hand_depth" in key else value for key, value in keys.items()}


def _more(timing: Keys, own: StrokePattern) -> float:
    """How much more pull and push than the preset's, mean of both arms. [share]"""
    drawn = sum(timing[f"{side}_{phase}_share"] for side in SIDES for phase in ("pull", "push")) / 2
    return drawn - own.left.pull_share - own.left.push_share


def _rolls(rng: np.random.Generator, rows: dict, *, own: StrokePattern, body: Body) -> Keys:
    keys = {}
    for stem, row in rows.items():
        if "sides" in row:
            offsets = {_named(f"{stem}_{side}"): offset for side, offset in _on_sides(rng, row).items()}
        else:
            offsets = {_named(stem): _around(rng, row)}
        for name, offset in offsets.items():
            keys |= dict([_key(name, getattr(own.roll, name) + offset * _factor(row["unit"], body))])
    return keys


def _trunk(rng: np.random.Generator, rows: dict, *, own: StrokePattern, body: Body) -> Keys:
    """Trunk, head and legs; the neck is bent on a breath as at any other time, and the legs do not part."""
    values = {}
    for stem, row in rows.items():
        name = _named(stem)
        values[name] = getattr(own.body, name) + _around(rng, row) * _factor(row["unit"], body)
    values["neck_extension_rad"] = values["breath_neck_extension_rad"]
    values["scissor_gap_m"] = values["foot_gap_m"]
    return dict(_key(name, value) for name, value in values.items())
