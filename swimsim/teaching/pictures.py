"""The pictures of a run: two clips and a review with captions, a page to print, stills for each event."""

from __future__ import annotations

import math
import os
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

from ..ground.atomic import check_file
from ..ground.conventions import EVENTS, MODEL_LINE
from ..ground.errors import InputError, nearest
from ..scenario import leaves
from ..scenario.picture import look_of
from ..scenario.play import Played
from ..view.look import Look
from .marks import shown_cycle, shown_side
from .quiz import check_key, write_answer
from .review import write_review
from .script import Wish, clip_parts, panels_of
from .strip import key_instants, strip_panels

SUFFIXES = (".mp4", ".webm", ".gif")
GIF_FPS = 25.0  # whole hundredths of a second per picture, and long enough that every browser keeps to them
RUN_FPS = 30.0  # smooth, and three clips are ready in a quarter of a minute
STILL_LAYOUTS = {"single": "side_by_side"}  # a still shows both swimmers
Step = Callable[[str, int, int], None]


def write_pictures(played: Played, folder: Path, *, progress: Step) -> None:
    """Write all pictures of a run into a folder; its clips have at most 30 pictures a second."""
    out = played.scenario.output
    how = {"most_fps": RUN_FPS, "progress": progress}
    write_side_by_side(played, folder / leaves.CLIP, **how)
    if out.stick and played.scenario.figure.style != "stick":
        write_side_by_side(played, folder / leaves.STICK_CLIP, style="stick", **how)
    if out.review:
        write_review(played, folder / leaves.REVIEW, progress=progress)
    progress("drawing the film strip", 0, 0)
    write_strip(played, folder / leaves.STRIP)
    progress("drawing the stills", 0, 0)
    write_stills(played, folder / leaves.STILLS)


def check_clip_path(path: str | os.PathLike) -> None:
    """Refuse a clip of another kind than MP4, WebM and GIF, or one that lies in no folder, before any work.

    Raises
    ------
    InputError
    """
    check_file(Path(path))
    suffix = Path(path).suffix.lower()
    if suffix not in SUFFIXES:
        raise InputError(
            f"{path}: output: expected a file name ending in .mp4, .webm or .gif, got '{Path(path).name}'; "
            f"{nearest(suffix, SUFFIXES)}"
        )


def write_side_by_side(
    played: Played,
    path: str | os.PathLike,
    *,
    wish: Wish | None = None,
    style: str | None = None,
    most_fps: float = math.inf,
    progress: Step,
) -> tuple[str, ...]:
    """Write the clip FAULT beside CORRECT, and its captions beside it; returns the names of the files.

    A GIF has no captions and is one plain stretch or a loop. The answer to a quiz lies beside it as text.

    Parameters
    ----------
    wish : Wish, optional
    style : {"solid", "stick"}, optional
        Instead of that of the scenario.
    most_fps : float
        Fewer pictures a second than the scenario says, if this is less.
    """
    from ..view.reel import CAPTIONS_SUFFIX, write_reel

    path, wish, fps = Path(path), wish or Wish(), min(float(played.scenario.output.fps), most_fps)
    gif = path.suffix.lower() == ".gif"
    if gif:
        wish, fps = replace(wish, plain=True), min(fps, GIF_FPS)
    parts = clip_parts(played, wish)
    if gif:
        parts = [replace(part, caption="") for part in parts]
    if wish.quiz:
        check_key(path)
    what = "drawing the clip in sticks" if style == "stick" else "drawing the clip"
    reel = write_reel(
        path,
        parts,
        look=look_of(played.scenario, style=style),
        fps=fps,
        progress=lambda done, total: progress(what, done, total),
    )
    captions = path.with_suffix(CAPTIONS_SUFFIX)
    if reel.captions:
        return path.name, captions.name
    if not gif:
        _without_old_captions(captions)
    return (path.name, write_answer(played, path)) if wish.quiz else (path.name,)


def _without_old_captions(path: Path) -> None:
    """Remove captions of an earlier clip of that name: a player would show them with a clip that has none."""
    if path.is_file() and MODEL_LINE in path.read_text(encoding="utf-8", errors="replace"):
        path.unlink()


def write_strip(played: Played, path: Path) -> None:
    """Write the page to print: the key instants of the first fault, or the events of a stroke without one."""
    from ..view.film_strip import film_strip

    instants = key_instants(played)
    own = [[i.fault_s for i in instants], [i.correct_s for i in instants]]
    in_order = all(a < b for row in own for a, b in pairwise(row))
    film_strip(
        path,
        strip_panels(played, played.fault.faults),
        own if in_order else own[0],
        labels=[instant.label for instant in instants],
        look=look_of(played.scenario),
    )


def write_stills(played: Played, folder: Path) -> None:
    """Write one picture for each event of the shown arm, as PNG and SVG, in its first cycle that has the fault."""
    from ..view.clip import ClipOptions, still
    from ..view.vector import still_svg

    folder.mkdir()
    side, panels = shown_side(played), panels_of(played)
    options = ClipOptions(look=_both(look_of(played.scenario)))
    times = {(e.event, e.cycle): e.time_s for e in played.fault.truth.events if e.side == side}
    cycle = shown_cycle(played, side)
    for i, event in enumerate(EVENTS, 1):
        for write, suffix in ((still, "png"), (still_svg, "svg")):
            write(folder / f"{i}_{event}.{suffix}", panels, at_s=times[event, cycle], options=options)


def _both(look: Look) -> Look:
    """A look that shows both swimmers."""
    return replace(look, layout=STILL_LAYOUTS.get(look.layout, look.layout))
