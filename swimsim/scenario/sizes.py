"""How large a fault can be, in words: from the clean stroke (severity 0) to gross (severity 1)."""

from __future__ import annotations

import math

from ..faults.catalogue import DOOR, Fault, fault_named, gross_value
from ..stroke.pattern import StrokePattern
from ..stroke.presets import default_stature_m, make_pattern, preset_row
from ..swimmer.anthropometry import make_body

PRESET = "pace400_man"  # the swimmer whose sizes are listed; hand lines grow with the shoulders


def sizes_in_words(slug: str) -> dict[str, str]:
    """Main measure of a fault without it and at its largest, with units, and whose figures these are."""
    fault, sex = fault_named(slug), preset_row(PRESET)["sex"]
    body = make_body(default_stature_m(sex), sex=sex)
    half = body.shoulder_width_m / 2
    own = _own(fault, make_pattern(PRESET, body))
    sizes = {
        "clean": _said(own, fault),
        "gross": _said(gross_value(fault.row, own, half), fault),
    }
    if only := fault.row.get("breathing_only"):
        sizes["on the breath only"] = (
            f"{only['main_measure']}: clean {_said(0.0, fault)}, gross {_said(gross_value(only, 0.0, half), fault)}"
        )
    return {**sizes, "sizes are those of": f"{PRESET}, {body.stature_m:g} m tall"}


def _own(fault: Fault, pattern: StrokePattern) -> float:
    """The main target of the stroke without the fault, left side where it has sides. [SI]"""
    if fault.pairs:
        return 0.0  # the two sides of a preset are alike
    part = pattern.left if fault.part == "arm" else getattr(pattern, fault.part)
    return getattr(part, fault.row["main_target"].format(side="left"))


def _said(value: float, fault: Fault) -> str:
    return f"{math.floor(value / DOOR[fault.unit] * 10 + 0.5) / 10:g} {fault.unit}"
