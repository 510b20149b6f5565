"""What there is: faults, drills, views, measures, presets, swimmers, scenarios, safety; each with a line to type."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from ..faults.catalogue import aliases, faults
from ..faults.linked import linked_sets
from ..ground.errors import InputError, nearest
from ..ground.tables import data_folder, read_toml
from ..ground.words import drill_words, safety, words_of
from ..stroke.drill import drill_names
from ..stroke.presets import PRESETS, preset_row
from ..view.cameras import VIEWS
from .entries import drill_entry, fault_entry, safety_entry
from .read import scenario_names
from .swimmer_entries import is_number, swimmer_entry, swimmer_rows

Row = dict[str, Any]


def listing(what: str) -> list[Row]:
    """Rows of one list; each row has `name`, `says` and `type` (a line to type).

    Raises
    ------
    InputError
        There is no such list (the nearest is given).
    """
    return _of(what, _LISTS)()


def details(what: str, name: str) -> Row:
    """All that is known of one entry of a list.

    Raises
    ------
    InputError
        There is no such list or entry (the nearest is given).
    """
    full = _of(what, _DETAILS)
    names = [row["name"] for row in listing(what)] + (list(aliases()) if what == "faults" else [])
    if name not in names and not (what == "swimmers" and is_number(name)):
        raise InputError(f"list {what}: expected a name of this list, got '{name}'; {nearest(name, names)}")
    return full(name)


def overview() -> list[Row]:
    """Every list with the number of its entries."""
    return [
        {"name": what, "says": f"{len(rows())} of them", "type": f"swimsim list {what}"}
        for what, rows in _LISTS.items()
    ]


def _of(what: str, choices: dict[str, Callable]) -> Callable:
    if what not in choices:
        raise InputError(f"list: expected {', '.join(choices)}, got '{what}'; {nearest(what, choices)}")
    return choices[what]


def _row(name: str, says: str, line: str) -> Row:
    return {"name": name, "says": says, "type": line}


def _faults() -> list[Row]:
    return [_row(slug, ", ".join(fault.terms), f"swimsim run {slug}") for slug, fault in faults().items()]


def _drills() -> list[Row]:
    moving = drill_names()
    return [
        _row(
            name,
            drill_words(name).how,
            f"swimsim clip --drill {name}" if name in moving else f"swimsim list drills {name}",
        )
        for name in words_of("drills")
    ]


def _safety() -> list[Row]:
    return [_row(block.topic, block.title, f"swimsim list safety {block.topic}") for block in safety()]


def _linked() -> list[Row]:
    return [_row(name, row["says"], f"swimsim list linked {name}") for name, row in linked_sets().items()]


def _views() -> list[Row]:
    where = {True: "in the air", False: "under water"}
    return [
        _row(name, f"{view.words}; camera {where[view.position[2] > 0]}", f"swimsim clip --view {name}")
        for name, view in VIEWS.items()
    ]


def _measures() -> list[Row]:
    rows = read_toml("definitions")["measure"]
    return [_row(name, row["says"], f"swimsim list measures {name}") for name, row in rows.items()]


def _presets() -> list[Row]:
    return [_row(name, preset_row(name)["says"], f"swimsim list presets {name}") for name in PRESETS]


def _scenarios() -> list[Row]:
    return [_row(name, _sees(name), f"swimsim run {name}") for name in scenario_names()]


def _sees(name: str) -> str:
    """What to see, without the remark that every scenario makes."""
    return _scenario(name)["sees"].split(". An invented")[0]


def _scenario(name: str) -> Row:
    """Title, first comment line and text of a ready-to-run scenario."""
    text = Path(data_folder("scenarios") / f"{name}.toml").read_text(encoding="utf-8")
    sees = text.split("\n", 1)[0].removeprefix("#").strip()
    return {"name": name, "title": tomllib.loads(text).get("title", name), "sees": sees, "file": text}


_LISTS: dict[str, Callable[[], list[Row]]] = {
    "faults": _faults,
    "drills": _drills,
    "views": _views,
    "measures": _measures,
    "presets": _presets,
    "swimmers": swimmer_rows,
    "scenarios": _scenarios,
    "safety": _safety,
    "linked": _linked,
}
_DETAILS: dict[str, Callable[[str], Row]] = {
    "faults": fault_entry,
    "drills": drill_entry,
    "views": lambda name: {"name": name, **vars(VIEWS[name])},
    "measures": lambda name: {"name": name, **read_toml("definitions")["measure"][name]},
    "presets": lambda name: {"name": name, **preset_row(name)},
    "swimmers": swimmer_entry,
    "scenarios": _scenario,
    "safety": safety_entry,
    "linked": lambda name: {"name": name, **linked_sets()[name]},
}
