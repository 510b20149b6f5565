"""Moving pictures."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import Unpack

from ..ground.errors import InputError
from ..scenario.drill import play_drill
from ..scenario.play import play
from ..scenario.wishes import Drawing, drawn_as
from .source import Source, Step, as_scenario, silent


def clip(
    source: Source = None,
    out: str | os.PathLike = "swimsim-clip.mp4",
    *,
    views: Sequence[str] | None = None,
    loop: bool = False,
    quiz: bool = False,
    progress: Step = silent,
    **drawing: Unpack[Drawing],
) -> tuple[str, ...]:
    """Only the moving picture, FAULT beside CORRECT, as MP4, WebM or GIF by the name of the file.

    Captions are written beside an MP4 or WebM, under the same name with the suffix .vtt.

    Parameters
    ----------
    views : sequence of str, optional
        Instead of the views of the scenario.
    loop : bool
        Whole breathing periods without cards, the last picture leading into the first.
    quiz : bool
        Panels A and B without words, colours or numbers that tell which swimmer has the fault; the answer lies
        beside the clip as `NAME_answer.txt`.
    drawing : layout, style, theme, size, mirror, locked, speed
        Instead of what the scenario says; see `scenario.wishes.Drawing`.

    Returns
    -------
    tuple of str
        Names of the files that were written.
    """
    from ..teaching.pictures import check_clip_path, write_side_by_side
    from ..teaching.script import Wish

    check_clip_path(out)
    wish = Wish(loop=loop, quiz=quiz)
    scenario = drawn_as(as_scenario(source), views=views, **drawing)
    wish.check(scenario)
    played = play(scenario, progress=lambda text: progress(text, 0, 0))
    return write_side_by_side(played, out, wish=wish, progress=progress)


def clip_drill(
    name: str,
    source: Source = None,
    out: str | os.PathLike = "swimsim-clip.mp4",
    *,
    views: Sequence[str] | None = None,
    loop: bool = False,
    progress: Step = silent,
    **drawing: Unpack[Drawing],
) -> tuple[str, ...]:
    """The moving picture of a drill, labelled DRILL, as MP4, WebM or GIF by the name of the file.

    Parameters
    ----------
    name : str
        One of `drill_names()`.
    source : path, name, mapping or Scenario, optional
        Gives the body, the figure and the output; its stroke and faults are left aside.
    views : sequence of str, optional
        Instead of those that show the drill best.
    loop : bool
        Whole periods without cards, the last picture leading into the first.
    drawing : style, theme, size, mirror, speed
        As in `clip`; a drill is alone in its picture, so it has no layout.
    """
    for option in ("layout", "locked"):
        if drawing.get(option) is not None:
            raise InputError(f"{option}: expected none for a drill, which is alone in its picture")
    from ..teaching.drill_clip import write_drill_clip
    from ..teaching.pictures import check_clip_path

    check_clip_path(out)
    scenario = drawn_as(as_scenario(source), views=views, **drawing)
    drilled = play_drill(name, scenario, progress=lambda text: progress(text, 0, 0))
    return write_drill_clip(drilled, out, views=views, loop=loop, progress=progress)
