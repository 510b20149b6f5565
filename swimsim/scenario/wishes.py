"""The same scenario drawn another way: what the options of `clip` change, checked like the keys of a file."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, TypedDict, Unpack

from pydantic import ValidationError

from ..ground.errors import InputError, nearest
from . import models
from .cameras import with_views
from .planar import check_planar
from .problems import lines

_ELSEWHERE = {"style": ("figure", "style"), "speed": ("output", "speeds")}


class Drawing(TypedDict, total=False):
    """Options of a clip under the names of the scenario's keys; None leaves what the scenario says.

    `size` is (width, height) or text such as `640x360`; `speed` is the one playback speed.
    """

    layout: str | None
    style: str | None
    theme: str | None
    size: str | Sequence[int] | None
    mirror: bool | None
    locked: bool | None
    forces: bool | None
    speed: float | None


def drawn_as(
    scenario: models.Scenario, *, views: Sequence[str] | None = None, **drawing: Unpack[Drawing]
) -> models.Scenario:
    """The scenario drawn another way.

    Raises
    ------
    InputError
        One line for each option that is wrong.
    TypeError
        No such option.
    """
    errors, full = [], scenario
    for table, change in _by_table(drawing).items():
        checked, wrong = _changed(getattr(scenario, table), change)
        full, errors = full.model_copy(update={table: checked}), [*errors, *wrong]
    if views:
        try:
            full = with_views(full, list(views))
        except InputError as error:
            errors.append(str(error))
    if errors:
        raise InputError("\n".join(errors))
    check_planar(full)
    full._source = scenario._source
    return full


def _by_table(drawing: Drawing) -> dict[str, dict[str, Any]]:
    """Changed keys of each table."""
    changes: dict[str, dict[str, Any]] = {"figure": {}, "output": {}}
    for option, value in drawing.items():
        if option not in Drawing.__annotations__:
            raise TypeError(f"no such option: '{option}'; {nearest(option, Drawing.__annotations__)}")
        if value is not None:
            table, key = _ELSEWHERE.get(option, ("output", option))
            changes[table][key] = _read(option, value)
    if "speeds" in changes["output"]:
        changes["output"]["slow"] = changes["output"]["speeds"][0]
    return changes


def _read(option: str, value: Any) -> Any:
    if option == "speed":
        return [value]
    if option == "size" and isinstance(value, str):
        found = re.fullmatch(r"\s*(\d{1,5})\s*[xX×]\s*(\d{1,5})\s*", value)
        return [int(number) for number in found.groups()] if found else value
    return list(value) if isinstance(value, tuple) else value


def _changed(table: models.Section, change: dict[str, Any]) -> tuple[models.Section, list[str]]:
    """The table with the changes, and what is wrong with them, named by option."""
    model = type(table)
    try:
        return model.model_validate({**table.model_dump(), **change}), []
    except ValidationError as error:
        return table, list(dict.fromkeys(_as_option(line) for line in lines(error, model)))


def _as_option(line: str) -> str:
    """`speeds[1]: expected ...` as `--speed: expected ...`."""
    field, _, rest = line.partition(": ")
    name = "speed" if field.startswith(("speeds", "slow")) else field.partition("[")[0]
    if name == "size" and rest.startswith("expected a list"):
        rest = rest.replace("a list in brackets ([[...]] for a table)", "width x height such as 640x360")
    return f"--{name}: {rest}"
