"""The review of one swimmer: what is right, then at most three faults in turn, ending on the correct stroke.

One fault at a time: its name, the pair as swum, the pair slowly with a stop at the key instant of each swimmer, and
one cue with two drills. The order is that of correction; what is left over is named as later. The caution line
stands wherever a cue or a drill does.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import replace

from ..faults.catalogue import FaultSetting, fault_named
from ..ground.conventions import CAUTION_LINE
from ..ground.errors import InputError
from ..ground.records import Marks, Trace
from ..ground.words import fault_words
from ..scenario.cameras import best_view, cameras_of, with_views
from ..scenario.picture import look_of
from ..scenario.play import Played
from ..stroke.pattern import breathing_period
from ..view.cameras import VIEWS
from ..view.captions import shortened
from ..view.cards import Card, card_picture
from ..view.colours import theme_named
from ..view.parts import Part, caution_part
from .cues import drill_names, in_order
from .marks import marks_for, marks_of_fault, shown_cycle, shown_side
from .right import Right, right_things

MOST_FAULTS = 3
MOST_RIGHT = 3  # things praised where there is no fault to show
NAME_S, CUE_S, CLOSING_S, STOP_S = 2.5, 6.0, 6.0, 2.0  # [s]
SLOW = 0.5
Step = Callable[[str, int, int], None]
Panel = tuple[Trace, Marks]


def write_review(played: Played, path: str | os.PathLike, *, progress: Step) -> None:
    """Write the review clip, and its captions beside it under the same name with the suffix .vtt.

    Parameters
    ----------
    path : path ending in .mp4, .webm or .gif
    progress : callable
        `progress(text, done, total)`.

    Raises
    ------
    InputError, MachineError
    """
    from ..view.reel import write_reel

    write_reel(
        path,
        review_parts(played),
        look=look_of(played.scenario),
        fps=min(float(played.scenario.output.fps), 30.0),
        progress=lambda done, total: progress("drawing the review", done, total),
    )


def review_parts(played: Played) -> tuple[Part, ...]:
    """The script of the review, part by part; every part has a caption."""
    faults = in_order(played.fault.faults)
    shown, later = faults[:MOST_FAULTS], faults[MOST_FAULTS:]
    right = right_things(played.fault, faults)
    parts = [_title(played, len(shown))]
    parts += _all_right(played, right) if not shown else _right_first(played, right)
    for number, setting in enumerate(shown, 1):
        parts += _about(played, setting, number=number, of=len(shown))
    if shown:
        parts += [_corrected(played), *_closing(played, shown, later)]
    return (*parts, caution_part())


def _title(played: Played, count: int) -> Part:
    what = {0: "No fault is set.", 1: "First what is right, then one thing to change."}
    line = what.get(count, f"First what is right, then {count} things to change, one at a time.")
    caption = {0: "No fault is set: what is right.", 1: "What is right, then one thing to change."}
    said = caption.get(count, f"What is right, then {count} things to change.")
    return Part(card=Card(played.scenario.title, (line,)), card_s=NAME_S, caption=said)


def _right_first(played: Played, right: Sequence[Right]) -> list[Part]:
    return [_right(played, thing, f"Right: {thing.words}") for thing in right[:1]]


def _all_right(played: Played, right: Sequence[Right]) -> list[Part]:
    """The review of a swimmer without a fault: some of what is right, each by itself."""
    return [_right(played, thing, f"Right: {thing.words}") for thing in right[:MOST_RIGHT]] or [
        _corrected(played)
    ]


def _right(played: Played, thing: Right, caption: str) -> Part:
    """The swimmer alone at full speed, with the words and the number of what is right."""
    side = shown_side(played, ())
    limb = tuple(
        n if n.startswith(("left_", "right_")) or n in ("thorax", "pelvis") else f"{side}_{n}"
        for n in thing.limb
    )
    bare = marks_for(played.fault, (), word="", side=side)
    marks = replace(
        bare,
        title=f"Right: {thing.words}".rstrip("."),
        style="solid",
        limb=limb,
        value=thing.number,
        band=thing.band,
    )
    return _swim(played, [(played.fault.trace, marks)], cycle=1, caption=caption, layout="single")


def _about(played: Played, setting: FaultSetting, *, number: int, of: int) -> list[Part]:
    """Everything about one fault, with its own limb, lines and number alone."""
    played = in_best_view(played, setting)
    fault, correct = marks_of_fault(played, (setting,))
    panels = [(played.fault.trace, fault), (played.correct.trace, correct)]
    side = shown_side(played, (setting,))
    cycle = shown_cycle(played, side, (setting,))
    name = f"{fault.title[:1].upper()}{fault.title[1:]}"
    count = f"{number} of {of}: " if of > 1 else ""
    about, says = fault_words(setting.fault), fault_named(setting.fault).says
    card = Card(name, (says,), word="FAULT")
    value = f" {fault.value[:1].upper()}{fault.value[1:]}." if fault.value else ""
    return [
        Part(card=card, card_s=NAME_S, caption=shortened(f"{count}{name}.")),
        _swim(played, panels, cycle=cycle, caption=shortened(f"Full speed. {about.why[0]}")),
        _swim(
            played, panels, cycle=cycle, caption=shortened(f"Half speed. {name}.{value}"), slow=SLOW,
            stops=[m.key_share for m in (fault, correct) if m.key_share is not None],
        ),
        *_cue(played, setting),
    ]  # fmt: skip


def in_best_view(played: Played, setting: FaultSetting) -> Played:
    """The same run with the view that shows a fault best put first; a camera of one's own stays first."""
    views = played.scenario.output.views
    if views[0] not in VIEWS:
        return played
    side = setting.side if setting.side != "both" else shown_side(played, (setting,))
    best = best_view(setting.fault, side, of=setting.of)
    others = [view for view in views if view != best]
    ordered = [best, *others][: max(len(views), 1)]
    return replace(played, scenario=with_views(played.scenario, ordered))


def _cue(played: Played, setting: FaultSetting) -> list[Part]:
    """The cue, largest; the drills by name; when it is good enough; what to take care of."""
    about = fault_words(setting.fault)
    drills = " · ".join(drill_names(setting.fault))
    lines = (f"Drills: {drills}", f"Good enough: {about.pass_mark}.", about.care)
    cards = that_fit(Card(about.cue, lines, small=CAUTION_LINE), tuple(played.scenario.output.size))
    return [Part(card=card, card_s=CUE_S, caption=about.cue) for card in cards]


def that_fit(card: Card, size: tuple[int, int]) -> list[Card]:
    """The card, or in a small picture several: first its heading, then some lines each, the small words on all.

    Raises
    ------
    InputError
        A picture too small for one line with the small words.
    """
    try:
        card_picture(card, size, theme_named("light"))
        return [card]
    except InputError:
        if len(card.lines) + bool(card.heading) < 2:
            raise
    if card.heading:
        pieces = [replace(card, lines=()), replace(card, heading="")]
    else:
        half = len(card.lines) // 2
        pieces = [replace(card, lines=card.lines[:half]), replace(card, lines=card.lines[half:])]
    return [fitting for piece in pieces for fitting in that_fit(piece, size)]


def _corrected(played: Played) -> Part:
    """The correct stroke alone."""
    marks = marks_for(played.correct, (), word="CORRECT", side=shown_side(played))
    title = "the corrected stroke" if played.fault.faults else marks.title
    panel = (played.correct.trace, replace(marks, title=title))
    return _swim(played, [panel], cycle=1, caption="Correct: the whole stroke once more.", layout="single")


def _closing(played: Played, shown: Sequence[FaultSetting], later: Sequence[FaultSetting]) -> list[Part]:
    """The list to take home: each fault with its cue, and what comes later."""
    lines = [f"{_name(setting)}: {fault_words(setting.fault).cue}" for setting in shown]
    if later:
        lines.append(f"Later: {', '.join(_name(setting).lower() for setting in later)}.")
    cards = that_fit(
        Card("To take home", tuple(lines), small=CAUTION_LINE), tuple(played.scenario.output.size)
    )
    first = "One thing to think of." if len(shown) == 1 else "One thing at a time, in this order."
    return [Part(card=card, card_s=CLOSING_S, caption=first) for card in cards]


def _name(setting: FaultSetting) -> str:
    term = fault_named(setting.fault).terms[0]
    return f"{term[:1].upper()}{term[1:]}"


def _swim(
    played: Played, panels: Sequence[Panel], *, cycle: int, caption: str, slow: float = 1.0,
    stops: Sequence[float] = (), layout: str | None = None,
) -> Part:  # fmt: skip
    """One breathing period that holds a cycle of the shown arm.

    Parameters
    ----------
    stops : sequence of float
        As `Marks.key_share`: in cycles after the entry with which the period of the trace begins.
    """
    period = played.fault.pattern.period_cycles
    length = breathing_period(played.fault.pattern.breathing_every)
    first = cycle // length * length
    moved = tuple(stop - first % period for stop in stops)
    return Part(
        tuple(panels), start=first / period, length=length / period, slow=slow, layout=layout,
        views=tuple(cameras_of(played.scenario)), stop_at=moved or None, stop_s=STOP_S, caption=caption,
    )  # fmt: skip
