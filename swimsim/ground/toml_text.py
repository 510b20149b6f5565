"""Plain data as TOML text. Reading is in the standard library, writing is not."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any


def toml_text(data: Mapping[str, Any]) -> str:
    """TOML of a mapping: simple values first, then `[table]` and `[[table]]` blocks one level deep.

    Raises
    ------
    ValueError
        A value that has no place in such a file (None, deeper tables).
    """
    simple = {key: value for key, value in data.items() if not _is_table(value)}
    blocks = ["".join(_lines(simple))]
    for key, value in data.items():
        if isinstance(value, Mapping):
            blocks.append(f"[{key}]\n" + "".join(_lines(value)))
        elif _is_table(value):
            blocks += [f"[[{key}]]\n" + "".join(_lines(item)) for item in value]
    return "\n".join(block for block in blocks if block)


def _is_table(value: Any) -> bool:
    return isinstance(value, Mapping) or (
        isinstance(value, list) and bool(value) and isinstance(value[0], Mapping)
    )


def _lines(table: Mapping[str, Any]) -> Iterator[str]:
    return (f"{key} = {_value(value)}\n" for key, value in table.items())


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_value(item) for item in value) + "]"
    raise ValueError(f"no TOML text for a value of type {type(value).__name__}")
