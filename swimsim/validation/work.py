"""One unit of a design: a clean swimmer swum and seen, then the same swimmer with each of its faults.

A record is plain data, one for each swim and way, so that a run can be written line by line and taken up again.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict
from typing import Any

from ..detectors import clip_finding
from ..ground.conventions import EVENTS
from ..ground.errors import InputError
from ..ground.records import Finding
from ..scenario import models
from ..scenario.cameras import best_view
from ..scenario.clean_swimmers import CleanSwimmer, clean_swimmer, severities_of
from ..scenario.play import Swum, swim_faulty
from ..scenario.resolve import clean_pattern, fault_settings
from ..scenario.severity import size_of
from .design import Cell, Design, Unit
from .event_match import match_times
from .judges import OwnJudge
from .looking import Judge, Look, look, ours, score_seen
from .recovery import recovery_rows
from .ways import BEST, POINTS, Way

WINDOW_S = 0.1  # a found event farther from a true one than this is another event
MOST_SAID = 2000  # letters of what a detector printed about one clip
Record = dict[str, Any]


def do(unit: Unit, design: Design, *, judge: Judge = ours) -> Iterator[Record]:
    """The records of one unit; a fault that this swimmer cannot show leaves one record that says why."""
    clean = clean_swimmer(design.seed, unit.swimmer)
    if unit.clean:
        yield from _records(design, unit, clean.swum, _clean_facts(clean), judge)
    for cell in unit.cells:
        try:
            swum, facts = _with_fault(clean, cell)
        except InputError as error:
            yield _head(unit, cell.fault, cell.severity, refused=str(error).splitlines()[0])
            continue
        yield from _records(design, unit, swum, facts, judge)


def ways_for(design: Design, fault: str | None) -> list[Way]:
    """How a swim is seen: as the design's pairs say; else `best` is the best view of a fault, and of every fault for a
    clean swimmer.
    """
    if design.ways:
        return [Way(condition, view) for condition, view in design.ways]
    views: dict[str, None] = {}
    for view in design.views:
        if view == BEST:
            views.update(
                dict.fromkeys(
                    best_view(each, "both") for each in (design.faults if fault is None else (fault,))
                )
            )
        else:
            views[view] = None
    return [Way(condition, view) for condition in design.conditions for view in views]


def _clean_facts(clean: CleanSwimmer) -> Record:
    """True severities of a clean swimmer: of each fault, the greatest over sides and strokes."""
    return {"fault": None, "severity": 0.0, "true": _greatest(clean.severities)}


def _greatest(severities: dict) -> dict[str, float]:
    found: dict[str, float] = {}
    for (slug, _, _), severity in severities.items():
        if math.isfinite(severity):
            found[slug] = max(severity, found.get(slug, 0.0))
    return found


def _with_fault(clean: CleanSwimmer, cell: Cell) -> tuple[Swum, Record]:
    fault = models.Fault(fault=cell.fault, severity=cell.severity)
    scenario = clean.scenario.model_copy(update={"fault": [fault]})
    swum = swim_faulty(scenario)
    pattern = clean_pattern(scenario, swum.body)
    size = size_of(fault_settings(scenario)[0], swum.truth, clean=pattern, body=swum.body)
    true = {
        **_greatest(severities_of(swum.truth, clean=pattern, body=swum.body)),
        cell.fault: size.severity_effective,
    }
    return swum, {"fault": cell.fault, "severity": cell.severity, "true": true}


def _head(unit: Unit, fault: str | None, severity: float, **more: Any) -> Record:
    return {"unit": unit.name, "swimmer": unit.swimmer, "fault": fault, "severity": severity, **more}


def _records(design: Design, unit: Unit, swum: Swum, facts: Record, judge: Judge) -> Iterator[Record]:
    for way in ways_for(design, facts["fault"]):
        seed = hash_free(design.seed, unit.swimmer, facts["fault"] or "", round(1e6 * facts["severity"]))
        seen = look(swum, way, seed=seed, judge=judge, cameras=design.cameras)
        yield {
            **_head(unit, facts["fault"], facts["severity"]),
            "condition": way.condition, "view": way.view, "effective": facts["true"].get(facts["fault"], 0.0),
            "true": {slug: round(value, 5) for slug, value in facts["true"].items()},
            "frames": len(seen.data.time_s), "seconds": round(seen.seconds, 5), "rate_hz": seen.data.rate_hz,
            "findings": _findings(seen.findings), "measures": _measures(swum, seen), "events": _events(swum, seen),
            "failed": getattr(judge, "failure", None), "points": _points(design, swum, facts, way, seed, _given(judge)),
            **_of_others(judge, seen),
        }  # fmt: skip


def _of_others(judge: Judge, seen: Look) -> Record:
    """Beside somebody else's findings: ours of the same clip, what was left out of theirs, and what was printed."""
    if judge is ours or isinstance(judge, OwnJudge):
        return {}
    notes, said = getattr(judge, "notes", ()), getattr(judge, "said", "").strip()
    return {
        "built_in": _findings(ours(*seen.shown)),
        "notes": list(notes),
        "said": said[:MOST_SAID],
        "gives": _gives(judge),
    }


def _gives(judge: Judge) -> str | None:
    """Whether somebody else's answer to the clip that was judged last held points, measures, or findings alone."""
    given = getattr(judge, "given", None)
    if given is None:
        return None
    return "points" if given.data is not None else "measures" if given.reading is not None else "findings"


def _given(judge: Judge) -> Any:
    """Somebody else's points of the clip that was judged last; None where it gave none."""
    given = getattr(judge, "given", None)
    return given.data if given is not None else None


def _points(
    design: Design, swum: Swum, facts: Record, way: Way, seed: int, given: Any = None
) -> Record | None:
    """Scores of the points of a camera, of clean swimmers alone; None for points in space."""
    if facts["fault"] is not None or way.view == POINTS:
        return None
    score = asdict(score_seen(swum, way, seed=seed, cameras=design.cameras, given=given))
    return {key: _plain(value) for key, value in score.items()}


def hash_free(*parts: Any) -> int:
    """A seed from words and numbers, the same in every process."""
    import zlib

    return zlib.crc32(" ".join(map(str, parts)).encode())


def _findings(findings: tuple[Finding, ...]) -> Record:
    """For each fault what the clip says: present, score, severity with interval; None where there is no number."""
    found = {}
    for slug in dict.fromkeys(finding.fault for finding in findings):
        one = clip_finding(findings, slug)
        own = [f.severity for f in findings if f.fault == slug and math.isfinite(f.severity)]
        severity = sum(own) / len(own) if own and one.side != "both" else one.severity
        numbers = (one.score, severity, one.severity_low, one.severity_high)
        found[slug] = [one.present, *(_plain(number) for number in numbers)]
    return found


def _plain(number: float, digits: int = 5) -> float | None:
    return round(float(number), digits) if math.isfinite(number) else None


def _measures(swum: Swum, seen: Look) -> dict[str, list]:
    """Measure to (true, read) of each side that has a true value."""
    return true_and_read(recovery_rows("", swum.truth.measures, seen.reading, cycles=False))


def true_and_read(rows: Iterable[Mapping[str, Any]]) -> dict[str, list]:
    """Measure to (true, read) of recovery rows; an angle that repeats is read the shorter way round from the truth."""
    found: dict[str, list] = {}
    for row in rows:
        if math.isfinite(row["truth"]):
            read = row["truth"] + row["error"]
            found.setdefault(row["measure"], []).append([_plain(row["truth"]), _plain(read)])
    return found


def _events(swum: Swum, seen: Look) -> dict[str, list]:
    """Event to counts of true and of found ones, and the errors [s] of the matched pairs, both arms together."""
    step = 1 / seen.data.rate_hz
    low, high = seen.data.time_s[0] + step, seen.data.time_s[-1] - step
    found = {}
    for name in EVENTS:
        counts, errors = [0, 0], []
        for side in ("left", "right"):
            true, read = (
                [e.time_s for e in events if (e.event, e.side) == (name, side) and low <= e.time_s <= high]
                for events in (swum.truth.events, seen.reading.events)
            )
            pairs = match_times(true, read, within_s=WINDOW_S)
            errors += [round(read[j] - true[i], 6) for i, j in pairs]
            counts[0] += len(true)
            counts[1] += len(read)
        found[name] = [*counts, errors]
    return found


@functools.cache
def unit_of_measure() -> dict[str, str]:
    """Unit of every measure, by key."""
    from ..ground.tables import read_toml

    return {key: row["unit"] for key, row in read_toml("definitions")["measure"].items()}
