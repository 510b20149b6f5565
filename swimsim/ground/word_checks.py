"""What a file of words must hold beside its keys: short cues, names that there are, words that can be filled in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from string import Formatter

from .conventions import EVENTS
from .errors import InputError, nearest
from .tables import read_toml
from .word_records import DrillWords, FaultWords, OrderWords, SafetyFile

CUE_WORDS = 10  # most words of a cue: what a swimmer can keep in mind (common practice)
DRILLS = 2  # of a fault
FILLED_IN = ("midline", "pace")  # what a target may name in braces
KEY = "key"  # the instant of the main measure, in a film strip


def refuse(problems: Iterable[str], *, where: str) -> None:
    """Raise all problems of a file at once, if there are any."""
    if lines := [f"{where}: {problem}" for problem in dict.fromkeys(problems)]:
        raise InputError("\n".join(lines))


def fault_problems(words: FaultWords, *, drills: Iterable[str], grades: Iterable[str]) -> Iterator[str]:
    """What is wrong with the words about a fault.

    Parameters
    ----------
    drills, grades : iterable of str
        Names of all drills, and of all grades of evidence.
    """
    for key, cue in [("cue", words.cue), *(("also", cue) for cue in words.also)]:
        if (count := len(cue.split())) > CUE_WORDS:
            yield f"{key}: expected {CUE_WORDS} words at most, got {count}: '{cue}'"
    if len(words.drills) != DRILLS:
        yield f"drills: expected {DRILLS}, got {len(words.drills)}"
    yield from unknown("drills", words.drills, drills)
    yield from unknown("evidence", [words.evidence], grades)
    for key, target in (
        ("target", words.target),
        ("breathing.target", words.breathing and words.breathing.target),
    ):
        yield from _unfilled(key, target or "")
    instants = [instant for instant in words.strip if isinstance(instant, str)]
    yield from unknown("strip", instants, (*EVENTS, KEY))


def drill_problems(words: DrillWords, *, faults: Iterable[str]) -> Iterator[str]:
    """What is wrong with the words about a drill."""
    yield from unknown("for_faults", words.for_faults, faults)


def order_problems(words: OrderWords, *, faults: Iterable[str], parts: Iterable[str]) -> Iterator[str]:
    """What is wrong with the order of correction: every fault has one place in it, parts of faults have none."""
    whole = [fault for fault in faults if fault not in set(parts)]
    placed = [fault for stage in words.stage for fault in stage.faults]
    yield from unknown("stage.faults", placed, whole)
    for fault in whole:
        if (count := placed.count(fault)) != 1:
            yield f"stage.faults: expected '{fault}' once, got it {count} times"
    yield from unknown("before", [name for pair in words.before for name in (pair.cause, pair.echo)], whole)
    yield from unknown("look_alike.fault", [pair.fault for pair in words.look_alike], whole)
    known = read_toml("definitions")["measure"]
    yield from unknown("look_alike.measures", [m for pair in words.look_alike for m in pair.measures], known)


def safety_problems(words: SafetyFile, *, faults: Iterable[str], drills: Iterable[str]) -> Iterator[str]:
    """What is wrong with the blocks of safety."""
    for block in words.block:
        yield from unknown(f"block '{block.topic}': faults", block.faults, faults)
        yield from unknown(f"block '{block.topic}': drills", block.drills, drills)


def unknown(key: str, names: Iterable[str], known: Iterable[str]) -> Iterator[str]:
    """Names that there are not, each with the nearest."""
    known = tuple(known)
    for name in names:
        if name not in known:
            yield f"{key}: expected a known name, got '{name}'; {nearest(name, known)}"


def _unfilled(key: str, target: str) -> Iterator[str]:
    """Braces of a target that nothing fills in."""
    try:
        named = [field for _, field, _, _ in Formatter().parse(target) if field is not None]
    except ValueError as error:
        yield f"{key}: expected braces in pairs, got '{target}' ({error})"
        return
    for field in named:
        if field not in FILLED_IN:
            yield f"{key}: expected {{{'} or {'.join(FILLED_IN)}}} in braces, got '{{{field}}}'"
