"""A text file of words as a record: every key is held against the record's own field, all errors at once."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from pathlib import Path
from types import NoneType
from typing import Any, get_args, get_origin, get_type_hints

from .errors import InputError, nearest, not_text

#: Metadata of a field that the reader fills from elsewhere; it stands in no file.
FROM_ELSEWHERE = {"from_elsewhere": True}


def content_of(path: Path) -> dict[str, Any]:
    """What a TOML file holds.

    Raises
    ------
    InputError
        No such file, not UTF-8, or not TOML.
    """
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except UnicodeDecodeError as error:
        raise InputError(f"{path}: {not_text(error)}") from error
    except (OSError, tomllib.TOMLDecodeError) as error:
        raise InputError(f"{path}: expected a text file in TOML, got: {error}") from error


def record_of(rows: Mapping[str, Any], kind: type, *, where: str) -> Any:
    """A table of a file as a record.

    Parameters
    ----------
    kind : dataclass
        Its fields may be `str`, `float`, another such record, tuples of these, or one of these or none.
    where : str
        File, and place in it, for the errors.

    Raises
    ------
    InputError
        A key too many, missing or of another kind; all errors at once, each with file and key.
    """
    hints = get_type_hints(kind)
    own = {field.name: field for field in fields(kind) if not field.metadata.get("from_elsewhere")}
    errors = [f"{where}: {key}: no such key; {nearest(key, own)}" for key in rows if key not in own]
    found = {}
    for name, field in own.items():
        try:
            found[name] = _default(field) if name not in rows else _as(hints[name], rows[name], name)
        except InputError as error:
            errors += [f"{where}: {line}" for line in str(error).split("\n")]
    if errors:
        raise InputError("\n".join(errors))
    return kind(**found)


def _default(field: Field) -> Any:
    if field.default is MISSING:
        raise InputError(f"{field.name}: expected words, got nothing")
    return field.default


def _as(hint: Any, value: Any, name: str) -> Any:
    """A value of a file as the kind that a record has there."""
    if NoneType in get_args(hint):
        return _as(next(one for one in get_args(hint) if one is not NoneType), value, name)
    if get_origin(hint) is tuple:
        if not isinstance(value, list):
            raise InputError(f"{name}: expected a list, got {value!r}")
        return tuple(_as(get_args(hint)[0], item, name) for item in value)
    if is_dataclass(hint):
        if not isinstance(value, dict):
            raise InputError(f"{name}: expected a table, got {value!r}")
        return record_of(value, hint, where=name)
    if float in get_args(hint) and isinstance(value, float):
        return value
    if not isinstance(value, str) or not value.strip():
        raise InputError(f"{name}: expected words, got {value!r}")
    return value
