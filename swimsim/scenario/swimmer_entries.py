"""The clean swimmers in a list: the paces from which they are drawn, and one drawn swimmer in full."""

from __future__ import annotations

from typing import Any

from ..ground.conventions import CAUTION_LINE
from ..ground.tables import read_toml
from ..stroke.presets import preset_row
from .clean_swimmers import clean_swimmer
from .read import to_toml

Entry = dict[str, Any]
FAMILY = 0  # seed of the swimmers that are listed by number


def swimmer_rows() -> list[Entry]:
    """One row for each pace: name, what it says, a line to type."""
    return [
        {"name": pace, "says": _says(row), "type": f"swimsim list swimmers {pace}"}
        for pace, row in read_toml("clean_swimmers")["pace"].items()
    ]


def swimmer_entry(name: str) -> Entry:
    """A pace with the spread of every parameter, or the drawn swimmer of this number."""
    return _drawn(int(name)) if is_number(name) else _pace(name)


def is_number(name: str) -> bool:
    """Whether a name is the number of a drawn swimmer."""
    return name.isascii() and name.isdigit() and len(name) < 10


def _says(row: Entry) -> str:
    rates = [preset_row(preset)["rate_per_min"] for preset in row["preset"].values()]
    low, high = min(rates) + row["rate"]["least"], max(rates) + row["rate"]["most"]
    beats = ", ".join(f"{beats} beats {100 * share:.0f} %" for beats, share in row["kick"].items())
    return f"{low:.0f} to {high:.0f} cycles a minute; kick: {beats}; one of them: list swimmers 17"


def _pace(name: str) -> Entry:
    table = read_toml("clean_swimmers")
    parts = {part: table[part] for part in ("timing", "arm", "roll", "trunk")}
    return {
        "name": name,
        **table["pace"][name],
        "stature_m": table["body"]["stature_m"],
        **{f"{part} {key}": row for part, rows in parts.items() for key, row in rows.items()},
        "severity_of_every_fault_below": table["most_severity"],
    }


def _drawn(number: int) -> Entry:
    one = clean_swimmer(FAMILY, number)
    who, breathing = one.scenario.swimmer, one.scenario.breathing
    nearest, severity = one.nearest_fault
    return {
        "name": str(number),
        "title": one.scenario.title,
        "body": f"{who.sex}, {who.stature_m:g} m, {who.mass_kg:g} kg",
        "breathing": f"{breathing.side}, every {breathing.every} strokes" if breathing.every else "none",
        "kick": f"{one.scenario.kick.beats} beats",
        "nearest_fault": f"{nearest}, effective severity {severity:.2f} of 1",
        "draws_thrown_away": list(one.redrawn) or "none",
        "in_a_scenario": f"[swimmer] clean = {number}",
        "caution": CAUTION_LINE,
        "file": to_toml(one.scenario),
    }
