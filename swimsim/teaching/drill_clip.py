"""The clip of a drill: how it is done, what to watch, the care it needs; never a number of the swim beside it."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from ..ground.conventions import CAUTION_LINE
from ..ground.records import Marks
from ..ground.words import DrillWords, drill_words
from ..scenario.drill import Drilled
from ..scenario.picture import look_of
from ..view.captions import shortened
from ..view.cards import Card
from ..view.look import SPEEDS, Look, Panel
from ..view.parts import Part
from .pictures import GIF_FPS

FIRST_S = 6.0  # least length of the first stretch, in whole periods [s]
SPEEDS_OF_DRILLS = (1.0, 0.5, 1.0)  # a drill is slow enough as it is
TITLE_S, CARE_S = 5.0, 6.0  # time to read the cards [s]
Step = Callable[[str, int, int], None]


def drill_marks(drilled: Drilled) -> Marks:
    """What the panel of a drill says: its name, how, what to watch; steps on the bar of one period."""
    drill, words = drilled.drill, drill_words(drilled.drill.name)
    return Marks(
        "DRILL",
        drill.title,
        "dotted",
        drill.limb,
        ticks=drill.steps,
        phase=np.mod(drilled.trace.time_s / drill.period_s + 1e-9, 1.0),
        lines=(words.how, f"Watch: {_plain(words.watch_for)}"),
        kit=drill.equipment,
    )


def drill_parts(drilled: Drilled, *, loop: bool = False, plain: bool = False) -> tuple[Part, ...]:
    """The parts of the clip: a card with how, some periods as swum, one slowly, again as swum, the care card.

    Parameters
    ----------
    loop : bool
        Whole periods without cards.
    plain : bool
        One stretch at the first speed of the scenario, then the care card.
    """
    drill, words = drilled.drill, drill_words(drilled.drill.name)
    panel: Panel = (drilled.trace, drill_marks(drilled))
    speeds = tuple(drilled.scenario.output.speeds)
    speeds = SPEEDS_OF_DRILLS if speeds == SPEEDS else speeds
    name = f"Drill: {drill.title}."
    if loop:
        return (Part((panel,), slow=speeds[0], loop=True, layout="single", caption=shortened(name)),)
    many = float(math.ceil(FIRST_S / drill.period_s))
    watch = shortened(f"Watch: {_plain(words.watch_for)}")
    stretches = [Part((panel,), 0.0, many, slow=speeds[0], layout="single", caption=shortened(name))]
    if not plain:
        stretches += [
            Part((panel,), length=1.0, slow=slow, layout="single", caption=watch) for slow in speeds[1:]
        ]
    return (_title(drilled, words), *stretches, _care(words))


def write_drill_clip(
    drilled: Drilled,
    path: str | os.PathLike,
    *,
    views: Sequence[str] | None = None,
    loop: bool = False,
    progress: Step,
) -> tuple[str, ...]:
    """Write the clip of a drill, and its captions beside it; returns the names of the files.

    Parameters
    ----------
    views : sequence of str, optional
        Views that were asked for; those of the drill without them.
    loop : bool
        Whole periods without cards. A GIF is one stretch, or a loop.
    """
    from ..view.reel import CAPTIONS_SUFFIX, write_reel

    path, fps = Path(path), float(drilled.scenario.output.fps)
    gif = path.suffix.lower() == ".gif"
    parts = drill_parts(drilled, loop=loop, plain=gif)
    if gif:
        parts = [replace(part, caption="") for part in parts if part.card is None]
    reel = write_reel(
        path,
        parts,
        look=drill_look(drilled, views=views),
        fps=min(fps, GIF_FPS) if gif else fps,
        progress=lambda done, total: progress("drawing the drill", done, total),
    )
    return (path.name, path.with_suffix(CAPTIONS_SUFFIX).name) if reel.captions else (path.name,)


def drill_look(drilled: Drilled, *, views: Sequence[str] | None = None) -> Look:
    """The look of the scenario with one panel, in the views of the drill unless others are asked for."""
    look = look_of(drilled.scenario)
    return replace(look, layout="single", views=look.views if views else drilled.drill.views)


def _title(drilled: Drilled, words: DrillWords) -> Part:
    drill = drilled.drill
    lines = (words.how, f"Watch: {_plain(words.watch_for)}")
    card = Card(drill.title[:1].upper() + drill.title[1:], lines, word="DRILL")
    return Part(card=card, card_s=TITLE_S, caption=shortened(words.how))


def _care(words: DrillWords) -> Part:
    """The last card: the care of this drill, and the caution line."""
    card = Card("Care", (_plain(words.care), CAUTION_LINE), word="DRILL")
    return Part(card=card, card_s=CARE_S, caption="A model, not a person. Stop if anything hurts.")


def _plain(words: str | Sequence[str]) -> str:
    return words if isinstance(words, str) else " ".join(words)
