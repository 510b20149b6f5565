"""Faults of trunk, head and legs: their targets move together from the swimmer's own values to gross ones."""

from __future__ import annotations

import dataclasses

from ..ground.errors import InputError
from ..stroke.pattern import StrokePattern
from .catalogue import Fault, FaultSetting, gross_value, severity_of


def body_fault(pattern: StrokePattern, setting: FaultSetting, fault: Fault) -> tuple[StrokePattern, float]:
    """Move the main target and what goes with it.

    Raises
    ------
    InputError
        A fault of the breath for a swimmer who never breathes, or of the kick for one who never kicks.
    """
    _check_needs(pattern, fault)
    body, main = pattern.body, fault.row["main_target"]
    own = getattr(body, main)
    severity = severity_of(setting, own, gross_value(fault.row, own, 0.0))
    changes = {}
    for row in ({**fault.row, "target": main}, *fault.row["with"]):
        value = getattr(body, row["target"])
        changes[row["target"]] = value + severity * (gross_value(row, value, 0.0) - value)
    return dataclasses.replace(pattern, body=dataclasses.replace(body, **changes)), severity


def _check_needs(pattern: StrokePattern, fault: Fault) -> None:
    needs = fault.row.get("needs")
    if needs == "breath" and pattern.breathing_every == 0:
        raise InputError(
            f"fault {fault.slug}: expected a swimmer who breathes (breathing side left or right, every 1, 2, 3, 4 or 6 "
            "arm strokes), got breathing side 'none'"
        )
    if needs == "kick" and pattern.kick_beats == 0:
        raise InputError(f"fault {fault.slug}: expected a swimmer who kicks (2, 4 or 6 beats), got 0 beats")
