"""Records of words: faults, drills, the order of correction, look-alikes, safety; read by `words.py`."""

from __future__ import annotations

from dataclasses import dataclass, field

from .word_files import FROM_ELSEWHERE


@dataclass(frozen=True)
class Number:
    """The words before a number in a picture, and the band it should reach."""

    number: str
    target: str


@dataclass(frozen=True)
class FaultWords:
    """Words about one fault, from `shared/words/faults/<slug>.toml`; a part of a fault has those of the whole.

    `look_for` names the still to freeze, `cue` is what is said (`also`: spare cues), `drills` are names of drill files,
    `care` goes beside the caution line, `evidence` grades what the fault `leads_to`. In pictures: `number` and
    `target`, `key` says what to look at in the key frame and `key_words` names that frame, `why` is two lines,
    `strip` lists the instants of a film strip (an event, "key" for the instant of the main measure, or cycles after
    the key), `breathing` is the number of a fault set on breathing strokes only. `order` and `look_alikes` come from
    `order.toml`.
    """

    terms: tuple[str, ...]
    says: str
    seen_as: str
    look_for: str
    likely_cause: str
    leads_to: str
    cue: str
    drills: tuple[str, ...]
    care: str
    pass_mark: str
    evidence: str
    sources: tuple[str, ...]
    number: str
    target: str
    key: str
    key_words: str
    why: tuple[str, ...]
    strip: tuple[str | float, ...]
    also: tuple[str, ...] = ()
    of: str | None = None
    breathing: Number | None = None
    order: str = field(default="", metadata=FROM_ELSEWHERE)
    look_alikes: tuple[str, ...] = field(default=(), metadata=FROM_ELSEWHERE)

    def shown(self, strokes: str) -> Number:
        """The number of a picture, for every stroke or for the breathing ones."""
        return (self.breathing if strokes == "breathing" else None) or Number(self.number, self.target)


@dataclass(frozen=True)
class DrillWords:
    """Words about one drill, from `shared/words/drills/<slug>.toml`; `for_faults` are slugs of faults."""

    name: str
    how: str
    watch_for: str
    for_faults: tuple[str, ...]
    care: str
    equipment: str
    flag: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class LookAlike:
    """A fault, what it is easily taken for (a fault or other words), measures that tell, and how they do."""

    fault: str
    other: str
    measures: tuple[str, ...]
    tell: str

    def beside(self, slug: str) -> str | None:
        """What is easily taken for this fault, if the pair is about it."""
        return {self.other: self.fault, self.fault: self.other}.get(slug)


@dataclass(frozen=True)
class Stage:
    """One stage of correction, with its faults in order."""

    name: str
    says: str
    faults: tuple[str, ...]


@dataclass(frozen=True)
class CauseAndEcho:
    """A fault, and another that often goes when the first is corrected."""

    cause: str
    echo: str


@dataclass(frozen=True)
class SafetyWords:
    """One block of words for safety: `where` it is shown, and the faults and drills that show it as well."""

    topic: str
    title: str
    text: str
    where: tuple[str, ...]
    flag: str
    sources: tuple[str, ...]
    faults: tuple[str, ...] = ()
    drills: tuple[str, ...] = ()


@dataclass(frozen=True)
class OrderWords:
    """The file `order.toml`."""

    stage: tuple[Stage, ...]
    before: tuple[CauseAndEcho, ...]
    look_alike: tuple[LookAlike, ...]


@dataclass(frozen=True)
class SafetyFile:
    """The file `safety.toml`."""

    caution: str
    block: tuple[SafetyWords, ...]
