"""What is said about faults and drills: one text file each in `shared/words`, written to be edited by a coach."""

from __future__ import annotations

import functools
import tomllib
from dataclasses import dataclass, fields
from pathlib import Path
from types import NoneType
from typing import Any, get_args, get_origin, get_type_hints

from .errors import InputError, nearest
from .tables import data_folder


@dataclass(frozen=True)
class Number:
    """The words before a number in a picture, and the band it should reach."""

    number: str
    target: str


@dataclass(frozen=True)
class FaultWords:
    """Words about one fault, as printed in `shared/words/faults/<slug>.toml`; a part of a fault has those of the whole.

    `key` says what to look at in the key frame and `key_words` names that frame; `why` is two lines; `care` goes
    beside the caution line; `strip` lists the instants of a film strip: an event, "key" for the instant of the
    main measure, or cycles after the key. `breathing` is the number of a fault set on breathing strokes only.
    """

    terms: tuple[str, ...]
    says: str
    cue: str
    drills: tuple[str, ...]
    care: str
    pass_mark: str
    sources: tuple[str, ...]
    number: str
    target: str
    key: str
    key_words: str
    why: tuple[str, ...]
    strip: tuple[str | float, ...]
    of: str | None = None
    breathing: Number | None = None

    def shown(self, strokes: str) -> Number:
        """The number of a picture, for every stroke or for the breathing ones."""
        return (self.breathing if strokes == "breathing" else None) or Number(self.number, self.target)


@dataclass(frozen=True)
class DrillWords:
    """Words about one drill, as printed in `shared/words/drills/<slug>.toml`; `faults` are those it is for."""

    name: str
    how: str
    watch_for: str
    faults: tuple[str, ...]
    care: str
    flag: str
    equipment: str | None = None


def words_of(what: str) -> tuple[str, ...]:
    """Names of all files of words about `faults` or `drills`."""
    return tuple(sorted(path.stem for path in (data_folder("shared") / "words" / what).glob("*.toml")))


@functools.cache
def fault_words(slug: str) -> FaultWords:
    """The words about a fault, or about a part of one.

    Raises
    ------
    InputError
        No such fault, or a file whose keys are not as expected (all that is wrong with it at once).
    """
    return read_words(_path("faults", slug), FaultWords)


@functools.cache
def drill_words(slug: str) -> DrillWords:
    """The words about a drill.

    Raises
    ------
    InputError
        As `fault_words`.
    """
    return read_words(_path("drills", slug), DrillWords)


@functools.cache
def order_of_correction() -> tuple[str, ...]:
    """Faults in the order in which they are corrected."""
    return tuple(_content(_path("", "order"))["order"])


@functools.cache
def strip_words() -> dict[str, str]:
    """Names of the instants of a stroke, for a film strip."""
    return _content(_path("", "strip"))


def read_words(path: Path, kind: type) -> Any:
    """A file of words as a record of this kind; a file with `of` takes what it leaves out from that one.

    Raises
    ------
    InputError
        Not TOML, a key too many, missing or of another kind; all errors at once, with file and key.
    """
    rows = _content(path)
    whole = rows.get("of")
    if isinstance(whole, str):
        other = path.with_name(f"{whole}.toml")
        if not other.exists():
            raise InputError(f"{path}: of: expected a file of words beside this one, got '{whole}'")
        rows = {**_content(other), **rows}
    hints = get_type_hints(kind)
    errors = [f"{path}: {key}: no such key; {nearest(key, hints)}" for key in rows if key not in hints]
    found = {}
    for field in fields(kind):
        try:
            found[field.name] = _as(hints[field.name], rows.get(field.name))
        except ValueError as error:
            errors.append(f"{path}: {field.name}: {error}")
    if errors:
        raise InputError("\n".join(errors))
    return kind(**found)


def _as(hint: Any, value: Any) -> Any:
    """A value of the file as the kind that a record has there."""
    if hint is str:
        if not isinstance(value, str) or not value.strip():
            raise ValueError(f"expected words, got {_shown(value)}")
        return value
    if get_origin(hint) is tuple:
        if not isinstance(value, list) or not value:
            raise ValueError(f"expected a list of one or more, got {_shown(value)}")
        return tuple(_as(get_args(hint)[0], item) for item in value)
    if NoneType in get_args(hint):
        return None if value is None else _as(get_args(hint)[0], value)
    if hint is Number:
        if not isinstance(value, dict) or set(value) != {"number", "target"}:
            raise ValueError(f"expected number and target, got {_shown(value)}")
        return Number(**{key: _as(str, item) for key, item in value.items()})
    return value if isinstance(value, float) else _as(str, value)


def _shown(value: Any) -> str:
    return "nothing" if value is None else repr(value)


def _path(what: str, name: str) -> Path:
    path = data_folder("shared") / "words" / what / f"{name}.toml"
    if what and not path.exists():
        raise InputError(
            f"words: expected one of the {what} in {path.parent}, got '{name}'; {nearest(name, words_of(what))}"
        )
    return path


def _content(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise InputError(f"{path}: expected a text file in TOML: {error}") from error
