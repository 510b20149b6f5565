"""What a clip is made of: stretches of swimming and cards, and the standard sequence for teaching."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from swimsim.ground.errors import InputError
from swimsim.ground.records import Camera, Marks

from .captions import shortened
from .cards import Card, caution_card
from .look import SPEEDS, Panel

TITLE_S, CAUTION_S, STOP_S = 1.5, 3.0, 1.0  # times of the cards, and of a stop [s]
UNITS = ("period", "s")
#: How two panels stand to each other.
_BOTH = {
    "side_by_side": "{} beside {}", "stacked": "{} above {}", "ghost": "{}, with {} pale behind",
    "single": "{}, then {}",
}  # fmt: skip


@dataclass(frozen=True)
class Part:
    """A stretch of swimming, or a card.

    Parameters
    ----------
    panels : tuple of (Trace, Marks)
        Left to right, or top to bottom; none for a card.
    start : float, optional
        Where it begins: in breathing periods after the first entry of the arm that the first panel counts,
        or in seconds after the start of its trace. Without it the part goes on where the part before ended.
    length : float, optional
        In the same unit. Without it one breathing period, or the rest of the trace.
    unit : {"period", "s"}
        A trace without a phase has one period: all of it.
    slow : float
        Playback speed: 0.5 is half speed.
    layout : str, optional
        Instead of that of the look.
    views : tuple of str or Camera, optional
        Instead of those of the look.
    locked : bool
        Show the same share of the stroke in all panels at every instant; else each runs in real time.
    loop : bool
        Close the stretch, so that its first picture may follow its last one; see `stretch.Timeline`.
    stop_at : float or tuple of float, optional
        Stop here, in cycles after the entry with which the part begins.
    stop_s, card_s : float
        Length of the stop, and of a card. [s]
    caption : str
        At most two lines of 42 letters; without it nothing is written.
    card : Card, optional
    """

    panels: tuple[Panel, ...] = ()
    start: float | None = None
    length: float | None = None
    unit: str = "period"
    slow: float = 1.0
    layout: str | None = None
    views: tuple[str | Camera, ...] | None = None
    locked: bool = True
    loop: bool = False
    stop_at: float | tuple[float, ...] | None = None
    stop_s: float = STOP_S
    caption: str = ""
    card: Card | None = None
    card_s: float = TITLE_S

    @property
    def stops(self) -> tuple[float, ...]:
        """The stops in order, each once."""
        stops = (self.stop_at,) if isinstance(self.stop_at, float | int) else self.stop_at or ()
        return tuple(sorted(set(stops)))

    def __post_init__(self) -> None:
        if (self.card is None) == (len(self.panels) == 0):
            raise InputError("part of a clip: expected either panels or a card")
        if self.unit not in UNITS:
            raise InputError(f"part of a clip: unit: expected period or s, got '{self.unit}'")
        positive = {"slow": self.slow, "stop_s": self.stop_s, "card_s": self.card_s, "length": self.length}
        for name, value in positive.items():
            if value is not None and not 0 < value < float("inf"):
                raise InputError(f"part of a clip: {name}: expected a positive number, got {value}")


def caution_part() -> Part:
    """The card that ends every clip, with its caption."""
    return Part(
        card=caution_card(), card_s=CAUTION_S, caption="A model, not a person. Stop if anything hurts."
    )


@dataclass(frozen=True)
class Windows:
    """Which swimming the stretches of a teaching clip show, in breathing periods as `Part` counts them.

    Parameters
    ----------
    first : (float, float)
        Start and length of the first stretch.
    later : (float or None, float)
        Start and length of the others; without a start each goes on where the one before ended.
    stops : tuple of float, optional
        Where slow stretches stop, as `Part.stop_at`; at `Marks.key_share` of each panel without it.
    """

    first: tuple[float, float] = (0.0, 2.0)
    later: tuple[float | None, float] = (None, 1.0)
    stops: tuple[float, ...] | None = None


def teaching_parts(
    panels: Sequence[Panel], *, layout: str | None = None, locked: bool = True,
    speeds: Sequence[float] = SPEEDS, windows: Windows | None = None,
) -> tuple[Part, ...]:  # fmt: skip
    """The standard sequence for a fault and its correction, ending on the correct stroke.

    Title card 1.5 s; both at 1x for two breathing periods; 0.5x and 0.25x for one period each, with a stop of
    1 s at `Marks.key_share`; 1x again; the last panel alone at 1x; caution card 3 s. Real time comes first
    and last, since timing cannot be judged in slow motion alone, and the correct stroke ends the clip.

    Parameters
    ----------
    panels : sequence of (Trace, Marks)
        The fault first, the correct stroke last.
    layout : str, optional
        Of the stretches, and in the words of the title card; that of the look, and side by side, without it.
    speeds : sequence of float
        Playback speeds, one stretch each.
    windows : Windows, optional
    """
    pair, windows = tuple(panels), windows or Windows()
    if not pair:
        raise InputError("clip: expected one panel or more, got none")
    last = pair[-1][1]
    parts = [
        Part(card=title_card(pair, layout=layout or "side_by_side"), caption=names_of(pair)),
        *stretches(pair, layout=layout, locked=locked, speeds=speeds, windows=windows),
    ]
    if len(pair) > 1:
        start, length = windows.later
        said = _said(_words(last), last.value)
        parts.append(Part(pair[-1:], start=start, length=length, layout="single", caption=said))
    return (*parts, caution_part())


def stretches(
    panels: Sequence[Panel], *, layout: str | None = None, locked: bool = True,
    speeds: Sequence[float] = SPEEDS, windows: Windows | None = None,
) -> tuple[Part, ...]:  # fmt: skip
    """The stretches of `teaching_parts` without cards, all with the same panels; parameters as there."""
    pair, windows, first = tuple(panels), windows or Windows(), panels[0][1]
    stops = windows.stops
    if stops is None:  # each panel at its own event
        stops = tuple(m.key_share for _, m in pair if m.key_share is not None)
    parts, said = [], [first.value, first.cue or first.value]
    for number, speed in enumerate(speeds):
        (start, length), caption = windows.later, _said(_speed_words(speed), first.cue)
        if speed < 1 and number:
            caption = _said(_speed_words(speed), said[0])
            said = said[-1:]
        if number == 0:
            (start, length), caption = windows.first, names_of(pair)
        how = {"layout": layout, "locked": locked, "stop_at": stops if speed < 1 else None}
        parts.append(Part(pair, start=start, length=length, slow=speed, caption=caption, **how))
    return tuple(parts)


def names_of(panels: Sequence[Panel]) -> str:
    """What the panels show, as a caption."""
    first, last = panels[0][1], panels[-1][1]
    return _said(_words(first), f"With it: {last.word}" if len(panels) > 1 and last.word else "")


def _speed_words(speed: float) -> str:
    names = {1.0: "Full speed", 0.5: "Half speed", 0.25: "Quarter speed"}
    return names.get(speed, f"Speed {speed:g}")


def title_card(panels: Sequence[Panel], *, layout: str = "side_by_side") -> Card:
    """What the clip shows, in the words of its panels and of the layout in which they stand."""
    marks = [m for _, m in panels]
    heading, both = marks[0].title or marks[0].word, marks[0].word
    if len(marks) > 1:
        both = _BOTH[layout].format(marks[0].word, marks[-1].word)
    return Card(heading or "Front crawl", (both,) if both else ())


def _said(*sentences: str) -> str:
    """Short sentences as one caption."""
    return shortened(" ".join(f"{s[:1].upper()}{s[1:].rstrip('.')}." for s in sentences if s))


def _words(marks: Marks) -> str:
    return ": ".join(text for text in (marks.word, marks.title) if text) or "Front crawl"
