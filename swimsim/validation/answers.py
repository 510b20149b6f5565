"""What a detector answered, as findings: what fits is kept, what does not is said in words of the one who wrote it.

A finding is a `Finding`, or a mapping with `fault` and `present`, and where known `side`, `severity` and `score`. A
name or a key that we do not know leaves out that finding or key alone; anything else that is wrong spoils the clip.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

from ..ground.conventions import SIDES
from ..ground.errors import InputError, nearest
from ..ground.records import Finding
from ..ground.tables import read_toml

KEYS = ("fault", "present", "side", "severity", "score", "severity_low", "severity_high")
MOST_SEVERITY = (
    2.0  # a severity is 0 to 1, a little more where a fault is greater than gross; 35 is a percentage
)


def findings_from(
    answer: Any, *, notes: list[str] | None = None, where: str = "the detector"
) -> tuple[Finding, ...]:
    """Findings from what a detector returned or wrote: a list, or a mapping with the list under `findings`.

    Parameters
    ----------
    notes : list of str, optional
        What was left out is added here.
    where : str
        What gave the answer, for the error.

    Raises
    ------
    InputError
        No such list, an unknown side, or a value of the wrong kind; the first wrong one.
    """
    notes = [] if notes is None else notes
    rows = answer
    if isinstance(answer, Mapping):
        if "findings" not in answer:
            keys = ", ".join(map(str, answer)) or "no key"
            raise InputError(
                f"{where} returned a mapping with {keys}, expected a list of findings, or 'findings' with the list"
            )
        rows = answer["findings"]
    if rows is None or not isinstance(rows, Iterable) or isinstance(rows, (str, bytes, Mapping)):
        got = "None" if rows is None else f"{rows!r:.40}"
        raise InputError(
            f"{where} returned {got}, expected a list of findings (an empty one if there is none)"
        )
    found = (row if isinstance(row, Finding) else _finding(row, notes) for row in rows)
    return tuple(finding for finding in found if finding is not None and _known(finding.fault, notes))


def _known(fault: str, notes: list[str]) -> bool:
    known = read_toml("definitions")["detector"]
    if fault not in known:
        notes.append(f"a finding was left out: unknown fault {fault!r}; {nearest(str(fault), known)}")
    return fault in known


def _finding(row: Any, notes: list[str]) -> Finding | None:
    """One finding; None where its fault is not known."""
    if not isinstance(row, Mapping):
        raise InputError(f"finding: expected a mapping, got {row!r:.40}")
    fault, side, present = row.get("fault"), row.get("side") or "both", _plain(row.get("present"))
    stray = [key for key in row if key not in KEYS]
    notes += [f"a key was left out: finding has no '{key}'; {nearest(str(key), KEYS)}" for key in stray]
    if fault is None:
        raise InputError(f"finding: fault: expected the name of a fault, got none{_instead('fault', stray)}")
    if not _known(fault, notes):
        return None
    if side not in (*SIDES, "both"):
        raise InputError(f"finding {fault}: side: expected left, right or both, got {side!r}")
    if not isinstance(present, bool):
        got = _instead("present", stray) if present is None else ""
        raise InputError(f"finding {fault}: present: expected true or false, got {present!r}{got}")
    severity, score = (_number(row, key) for key in ("severity", "score"))
    if not math.isnan(severity) and not 0 <= severity <= MOST_SEVERITY:
        notes.append(f"finding {fault}: severity: expected 0 (none) to 1 (gross), got numbers outside")
    if math.isnan(score):
        if row.get("score") is not None:
            notes.append(
                f"finding {fault}: score: expected a number, got NaN; taken from severity or present"
            )
        score = float(present) if math.isnan(severity) else severity
    low, high = (_number(row, key) for key in ("severity_low", "severity_high"))
    return Finding(fault, side, present, severity, low, high, (), score)


def _instead(key: str, stray: list) -> str:
    """Which stray key may have been meant."""
    return (
        f"; it has '{stray[0]}' instead" if stray and nearest(str(stray[0]), (key,)).startswith("did") else ""
    )


def _plain(value: Any) -> Any:
    """Python numbers and truths from those of numpy and the like."""
    return value.item() if hasattr(value, "item") and getattr(value, "size", 1) == 1 else value


def _number(row: Mapping, key: str) -> float:
    value = _plain(row.get(key))
    if value is None:
        return math.nan
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise InputError(f"finding {row.get('fault')}: {key}: expected a number, got {value!r}")
    return float(value)
