"""What is said about faults and drills: one text file each in `shared/words`, written to be edited by a coach.

Beside them lie the order of correction with look-alikes (`order.toml`), what must be said for safety (`safety.toml`)
and what the grades of evidence mean (`evidence.toml`).
"""

from __future__ import annotations

import functools
from dataclasses import replace
from pathlib import Path
from typing import Any

from .errors import InputError, nearest
from .tables import data_folder
from .word_checks import drill_problems, fault_problems, order_problems, refuse, safety_problems
from .word_files import content_of, record_of
from .word_records import (
    CauseAndEcho,
    DrillWords,
    FaultWords,
    LookAlike,
    Number,
    OrderWords,
    SafetyFile,
    SafetyWords,
    Stage,
)

__all__ = [
    "CauseAndEcho",
    "DrillWords",
    "FaultWords",
    "LookAlike",
    "Number",
    "SafetyWords",
    "Stage",
    "causes_and_echoes",
    "caution_of_safety",
    "drill_words",
    "evidence_grades",
    "fault_words",
    "look_alikes",
    "order_of_correction",
    "safety",
    "stages_of_correction",
    "strip_words",
    "words_of",
]  # fmt: skip


def words_of(what: str) -> tuple[str, ...]:
    """Names of all files of words about `faults` or `drills`."""
    return tuple(sorted(path.stem for path in (_folder() / what).glob("*.toml")))


@functools.cache
def fault_words(slug: str) -> FaultWords:
    """The words about a fault, or about a part of one.

    Raises
    ------
    InputError
        No such file, or keys that are not as expected (all that is wrong with a file at once).
    """
    path = _named("faults", slug)
    rows = content_of(path)
    if isinstance(whole := rows.get("of"), str):
        rows = {**content_of(_named("faults", whole)), **rows}
    words = record_of(rows, FaultWords, where=str(path))
    refuse(fault_problems(words, drills=words_of("drills"), grades=evidence_grades()), where=str(path))
    beside = [pair.beside(words.of or slug) for pair in look_alikes()]
    stages = [s.name for s in stages_of_correction() if (words.of or slug) in s.faults]
    return replace(words, order="".join(stages), look_alikes=tuple(name for name in beside if name))


@functools.cache
def drill_words(slug: str) -> DrillWords:
    """The words about a drill.

    Raises
    ------
    InputError
        As `fault_words`.
    """
    path = _named("drills", slug)
    words = record_of(content_of(path), DrillWords, where=str(path))
    refuse(drill_problems(words, faults=words_of("faults")), where=str(path))
    return words


def order_of_correction() -> tuple[str, ...]:
    """Faults in the order in which they are corrected: safety, body line, roll, entry, pull, finish, timing."""
    return tuple(slug for stage in stages_of_correction() for slug in stage.faults)


def stages_of_correction() -> tuple[Stage, ...]:
    """The stages of correction, first to last."""
    return _table("order", OrderWords).stage


def causes_and_echoes() -> tuple[CauseAndEcho, ...]:
    """Pairs of faults of which the first is corrected before the second."""
    return _table("order", OrderWords).before


def look_alikes() -> tuple[LookAlike, ...]:
    """What is easily taken for each other, and the measures that tell the two apart."""
    return _table("order", OrderWords).look_alike


def safety(
    *, where: str | None = None, fault: str | None = None, drill: str | None = None
) -> tuple[SafetyWords, ...]:
    """Blocks of words for safety; of one place, of a fault or of a drill (with what every drill shows).

    Parameters
    ----------
    where : str, optional
        A place: sheet, drills, intake, shot list, manual, front page.
    """
    blocks = _table("safety", SafetyFile).block
    if where is None and fault is None and drill is None:
        return blocks
    place = "drills" if drill else where
    return tuple(b for b in blocks if place in b.where or fault in b.faults or drill in b.drills)


def caution_of_safety() -> str:
    """The caution line as the file of safety has it."""
    return _table("safety", SafetyFile).caution


@functools.cache
def evidence_grades() -> dict[str, str]:
    """What each grade of evidence means."""
    return content_of(_folder() / "evidence.toml")


@functools.cache
def strip_words() -> dict[str, str]:
    """Names of the instants of a stroke, for a film strip."""
    return content_of(_folder() / "strip.toml")


@functools.cache
def _table(name: str, kind: type) -> Any:
    path = _folder() / f"{name}.toml"
    words, names = record_of(content_of(path), kind, where=str(path)), words_of("faults")
    if kind is SafetyFile:
        refuse(safety_problems(words, faults=names, drills=words_of("drills")), where=str(path))
    if kind is OrderWords:
        parts = [slug for slug in names if "of" in content_of(_named("faults", slug))]
        refuse(order_problems(words, faults=names, parts=parts), where=str(path))
    return words


def _named(what: str, name: str) -> Path:
    path = _folder() / what / f"{name}.toml"
    if name not in words_of(what):
        raise InputError(f"{path}: no such file; {nearest(name, words_of(what))}")
    return path


def _folder() -> Path:
    return data_folder("shared") / "words"
