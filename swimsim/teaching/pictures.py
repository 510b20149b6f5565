"""The pictures of a run: the side-by-side clip, and one still for each event of the stroke."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from ..ground.atomic import check_file
from ..ground.conventions import EVENTS
from ..ground.errors import InputError
from ..scenario import leaves
from ..scenario.cameras import cameras_of
from ..scenario.play import Played
from .marks import marks_of, shown_cycle, shown_side

SUFFIXES = (".mp4", ".gif")
Step = Callable[[str, int, int], None]


def write_pictures(played: Played, folder: Path, *, progress: Step) -> None:
    """Write `side_by_side.mp4` and the stills into a folder."""
    write_side_by_side(played, folder / leaves.CLIP, progress=progress)
    progress("drawing the stills", 0, 0)
    write_stills(played, folder / leaves.STILLS)


def check_clip_path(path: str | os.PathLike) -> None:
    """Refuse a clip that is neither MP4 nor GIF or lies in no folder, before any work is done.

    Raises
    ------
    InputError
    """
    check_file(Path(path))
    if Path(path).suffix.lower() not in SUFFIXES:
        raise InputError(
            f"{path}: output: expected a file name ending in {' or '.join(SUFFIXES)}, got '{Path(path).name}'"
        )


def write_side_by_side(played: Played, path: str | os.PathLike, *, progress: Step) -> None:
    """Write the clip FAULT beside CORRECT, at the same share of the stroke at every instant."""
    from ..view.clip import write_clip

    write_clip(
        path,
        panels_of(played),
        options=_options(played),
        progress=lambda done, total: progress("drawing the clip", done, total),
    )


def write_stills(played: Played, folder: Path) -> None:
    """Write one picture for each event of the shown arm, in its first whole cycle that has the fault."""
    from ..view.clip import still

    folder.mkdir()
    side, panels, options = shown_side(played), panels_of(played), _options(played)
    times = {(e.event, e.cycle): e.time_s for e in played.fault.truth.events if e.side == side}
    cycle = shown_cycle(played, side)
    for i, event in enumerate(EVENTS, 1):
        still(folder / f"{i}_{event}.png", panels, at_s=times[event, cycle], options=options)


def panels_of(played: Played) -> list:
    """The two panels: (trace, marks) with the fault, and without."""
    fault, correct = marks_of(played)
    return [(played.fault.trace, fault), (played.correct.trace, correct)]


def look_of(played: Played):
    """Views, layout, theme and size of the pictures of a scenario."""
    from ..view.look import Look

    out = played.scenario.output
    return Look(
        views=tuple(cameras_of(played.scenario)), layout=out.layout, theme=out.theme, size=tuple(out.size)
    )


def _options(played: Played):
    from ..view.clip import ClipOptions

    out = played.scenario.output
    return ClipOptions(look=look_of(played), fps=float(out.fps), slow=out.slow, seconds=out.seconds)
