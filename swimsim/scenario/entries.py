"""Everything that is known of one fault, one drill or one block of safety, in the order in which a coach reads it."""

from __future__ import annotations

from typing import Any

from ..faults.catalogue import fault_named
from ..faults.linked import linked_sets
from ..ground.conventions import CAUTION_LINE
from ..ground.words import (
    FaultWords,
    SafetyWords,
    causes_and_echoes,
    drill_words,
    evidence_grades,
    fault_words,
    look_alikes,
    safety,
    stages_of_correction,
)
from ..stroke.drill import drill_names
from .sizes import sizes_in_words

Entry = dict[str, Any]


def fault_entry(slug: str) -> Entry:
    """A fault, or a part of one: its words, its numbers, what must be said for safety."""
    words, fault = fault_words(slug), fault_named(slug)
    read = ("terms", "says", "seen_as", "look_for", "likely_cause", "leads_to")
    said = ("cue", "also", "pass_mark", "care")
    numbers = ("main_measure", "unit", "owns", "sides", "strokes", "best_view", "limb")
    return {
        "name": slug,
        **({"part_of": words.of} if words.of else {}),
        **{key: getattr(words, key) for key in read},
        "evidence": f"{words.evidence}: {evidence_grades()[words.evidence]}",
        **{key: getattr(words, key) for key in said},
        "drills": [f"{drill}: {drill_words(drill).how}" for drill in words.drills],
        "look_alikes": _look_alikes(words.of or slug),
        "order": _order(words),
        **_neighbours(words.of or slug),
        "sources": words.sources,
        **{key: getattr(fault, key) for key in numbers},
        **sizes_in_words(slug),
        "numbers_from": fault.source,
        **_safety(safety(fault=words.of or slug)),
    }


def drill_entry(slug: str) -> Entry:
    """A drill: its words, whether it moves, what must be said for safety."""
    words = drill_words(slug)
    moving = f"swimsim clip --drill {slug}" if slug in drill_names() else "not drawn yet"
    return {
        "name": slug,
        "title": words.name,
        **_but(words, "name"),
        "moving": moving,
        **_safety(safety(drill=slug)),
    }


def safety_entry(topic: str) -> Entry:
    """A block of words for safety."""
    (block,) = (block for block in safety() if block.topic == topic)
    return {"name": topic, **_but(block, "topic"), "caution": CAUTION_LINE}


def _but(record: Any, key: str) -> Entry:
    return {name: value for name, value in vars(record).items() if name != key}


def _look_alikes(slug: str) -> list[str]:
    pairs = [(pair, pair.beside(slug)) for pair in look_alikes()]
    return [f"{other}: {pair.tell} ({', '.join(pair.measures)})" for pair, other in pairs if other]


def _order(words: FaultWords) -> str:
    stages = [stage.name for stage in stages_of_correction()]
    return f"{words.order}, stage {stages.index(words.order) + 1} of {len(stages)}"


def _neighbours(slug: str) -> Entry:
    """Causes that are corrected before a fault, what follows from it, and sets that it is often seen in."""
    pairs = causes_and_echoes()
    found = {
        "correct_first": [pair.cause for pair in pairs if pair.echo == slug],
        "may_bring": [pair.echo for pair in pairs if pair.cause == slug],
        "often_seen_with": [
            f"{' + '.join(others)} (swimsim clip {name})"
            for name, row in linked_sets().items()
            if (others := _others(row, slug))
        ],
    }
    return {key: value for key, value in found.items() if value}


def _others(linked: dict[str, Any], slug: str) -> list[str]:
    """The other faults of a linked set; none if this one is not in it."""
    members = [member["fault"] for member in linked["faults"]]
    return [member for member in members if member != slug] if slug in members else []


def _safety(blocks: tuple[SafetyWords, ...]) -> Entry:
    return {"safety": [f"{block.title}. {block.text}" for block in blocks], "caution": CAUTION_LINE}
