"""The instants of a film strip, by event, and words for those who cannot see a picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..faults.catalogue import FaultSetting, fault_named
from ..ground.conventions import EVENTS
from ..ground.words import FaultWords, fault_words, strip_words
from ..scenario.play import Played, Swum
from .cues import in_order
from .keys import Key
from .marks import marks_of_fault, shown_cycle, shown_side
from .overlays import seen_like


@dataclass(frozen=True)
class Instant:
    """One picture of a strip: what happens, and when in the trace of each swimmer. [s]"""

    label: str
    fault_s: float
    correct_s: float


def key_instants(played: Played, setting: FaultSetting | None = None) -> tuple[Instant, ...]:
    """The three to five instants that show a fault, chosen by event in each swimmer.

    Parameters
    ----------
    setting : FaultSetting, optional
        The first fault in the order of correction without it; with no fault the events of one stroke.

    Returns
    -------
    tuple of Instant
        In the order of time.
    """
    settings = in_order(played.fault.faults) if setting is None else (setting,)
    side = shown_side(played, settings)
    cycle = shown_cycle(played, side, settings)
    if not settings:
        names = strip_words()
        rows = [_event_times(swum, side, cycle) for swum in (played.fault, played.correct)]
        return tuple(Instant(names[e], *(row[e] for row in rows)) for e in EVENTS if e != "end_backward")
    about = fault_words(settings[0].fault)
    rows = [
        _times(swum, about, seen_like(settings[0]), side=side, cycle=cycle)
        for swum in (played.fault, played.correct)
    ]
    found = [
        Instant(_label(item, about), *pair)
        for item, pair in zip(about.strip, zip(*rows, strict=True), strict=True)
    ]
    return tuple(sorted(found, key=lambda instant: instant.fault_s))


def alt_text(played: Played, view: str) -> str:
    """View, fault or correct, what the marked limb does, number: for a picture of the pair.

    Parameters
    ----------
    view : str
        A named view, or the name of a camera of the scenario.
    """
    from ..view.cameras import VIEWS

    words = VIEWS[view].words if view in VIEWS else view.replace("_", " ")
    fault, correct = marks_of_fault(played, in_order(played.fault.faults))
    if not played.fault.faults:
        return f"View: {words}. Correct: front crawl with no fault set."
    says = " ".join(fault_named(s.fault).says for s in played.fault.faults)
    against = correct.value.rpartition(": ")[2]
    number = f" {fault.value[:1].upper()}{fault.value[1:]}, corrected {against}." if fault.value else ""
    return f"View: {words}. Fault: {fault.title}, beside the corrected stroke. {says}{number}"


def _label(item: str | float, about: FaultWords) -> str:
    if item == "key":
        return about.key_words
    if isinstance(item, str):
        return strip_words()[item]
    return f"{abs(item) * 100:.0f} % of the stroke {'later' if item > 0 else 'before'}"


def _times(swum: Swum, about: FaultWords, fault: str, *, side: str, cycle: int) -> list[float]:
    events = _event_times(swum, side, cycle)
    key = Key.of(swum, fault, side=side, cycle=cycle).time_s
    last = float(swum.trace.time_s[-1])
    cycle_s = swum.motion.cycle_s
    moments = [
        key if item == "key" else events[item] if isinstance(item, str) else key + item * cycle_s
        for item in about.strip
    ]
    return [min(max(moment, 0.0), last) for moment in moments]


def _event_times(swum: Swum, side: str, cycle: int) -> dict[str, float]:
    return {e.event: e.time_s for e in swum.truth.events if (e.side, e.cycle) == (side, cycle)}


def strip_panels(played: Played, settings: Sequence[FaultSetting]) -> list:
    """The two rows of a strip: (trace, marks) with the fault, and without."""
    fault, correct = marks_of_fault(played, in_order(settings))
    return [(played.fault.trace, fault), (played.correct.trace, correct)]
