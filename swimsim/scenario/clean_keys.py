"""`[swimmer] clean = 17`: the keys of a drawn swimmer put in place of that key."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .clean_swimmers import clean_scenario
from .problems import shown

Keys = dict[str, Any]
#: What a file may say beside a drawn swimmer, by table; None allows the whole table.
BESIDE = {
    "title": None, "seed": None, "dimensions": None, "fault": None, "linked": None, "camera": None, "figure": None,
    "output": None,
    "swimmer": ("clean",), "stroke": ("side_effects", "variability"),
}  # fmt: skip


def own_keys(content: Mapping[str, Any]) -> list[str]:
    """One line for each key that a drawn swimmer already has of its own."""
    number = content["swimmer"]["clean"]
    lines = []
    for table, value in content.items():
        allowed = BESIDE.get(table, ())
        for key, got in value.items() if allowed is not None else ():
            if key not in allowed:
                lines.append(
                    f"{table}.{key}: expected no such key beside swimmer.clean = {number}, a drawn swimmer with "
                    f"body, stroke, breathing and kick of its own, got {shown(got)}"
                )
    return lines


def with_clean_swimmer(content: Mapping[str, Any]) -> Keys:
    """The content of a file with the keys of the drawn swimmer; title, seed and strokes are as the file has them.

    The seed of the file names the family; the seed of the stroke-to-stroke scatter is the drawn swimmer's.
    """
    drawn = clean_scenario(content.get("seed", 0), content["swimmer"]["clean"])
    body = drawn.model_dump(
        exclude_none=True, include={"title", "seed", "swimmer", "stroke", "breathing", "kick"}
    )
    said = {key: value for key, value in content.items() if key not in ("seed", "swimmer", "stroke")}
    return {**body, **said, "stroke": {**body["stroke"], **content.get("stroke", {})}}
