"""Clips and stills of one or two panels: the public entry to the drawing room."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from swimsim.ground.errors import InputError
from swimsim.ground.records import Marks, Trace

from .parts import Part, caution_part
from .reel import SUFFIXES, checked_suffix, write_reel
from .sampling import locked_times
from .scene import Look, Scene
from .writer import write_png

__all__ = ["SUFFIXES", "ClipOptions", "picture", "still", "write_clip"]


@dataclass(frozen=True)
class ClipOptions:
    """How a clip is made.

    Parameters
    ----------
    look : Look
        Views, layout, theme, size, figure.
    fps : float
        Frames per second of the clip.
    slow : float
        Playback speed: 0.5 is half speed.
    seconds : float, optional
        Swimming time to show; the whole trace without it. [s]
    end_card : bool
        End with 3 s of the caution and the model line, once.
    crf : int, optional
        Encoder quality of MP4 and WebM; smaller is better and larger on disk.
    locked : bool
        Show the same share of the stroke in all panels at every instant; else each runs in real time.
    loop : bool
        Whole breathing periods without a card, so that the last picture leads into the first. `seconds` is
        then left out of account. How it closes: `stretch.Timeline`.
    """

    look: Look = field(default_factory=Look)
    fps: float = 30.0
    slow: float = 1.0
    seconds: float | None = None
    end_card: bool = True
    crf: int | None = None
    locked: bool = True
    loop: bool = False


def write_clip(
    path: str | os.PathLike, panels: Sequence[tuple[Trace, Marks]], *, options: ClipOptions | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> int:  # fmt: skip
    """Write a moving picture: one stretch, then the end card. Returns the number of frames.

    Parameters
    ----------
    path : path ending in .mp4, .webm or .gif
    panels : sequence of (Trace, Marks)
        Left to right, or top to bottom.
    options : ClipOptions, optional
    progress : callable, optional
        Called with frames done and frames in all.

    Raises
    ------
    InputError
        Unknown suffix, view, layout or theme; a size that cannot be; more seconds than there are.
    MachineError
        No video writer.
    """
    options = options or ClipOptions()
    checked_suffix(path)
    if not panels:
        raise InputError("clip: expected one panel or more, got none")
    if options.loop:
        parts = [Part(tuple(panels), slow=options.slow, locked=options.locked, loop=True)]
    else:
        parts = [_stretch(tuple(panels), options)]
        parts += [replace(caution_part(), caption="")] if options.end_card else []
    look, fps, crf = options.look, options.fps, options.crf
    return write_reel(path, parts, look=look, fps=fps, crf=crf, progress=progress).frames


def _stretch(panels: tuple[tuple[Trace, Marks], ...], options: ClipOptions) -> Part:
    """Some seconds from the start of the trace."""
    how = {"unit": "s", "slow": options.slow, "locked": options.locked}
    return Part(panels, start=0.0, length=options.seconds, **how)


def still(
    path: str | os.PathLike,
    panels: Sequence[tuple[Trace, Marks]],
    *,
    at_s: float,
    options: ClipOptions | None = None,
) -> None:
    """Write one instant as a PNG, laid out like a clip.

    Parameters
    ----------
    at_s : float
        Time in the first panel; the others show the same cycle share. [s]

    Raises
    ------
    InputError
        A time outside the trace, or as for `write_clip`.
    """
    write_png(path, picture(panels, at_s=at_s, options=options))


def picture(
    panels: Sequence[tuple[Trace, Marks]], *, at_s: float, options: ClipOptions | None = None
) -> np.ndarray:
    """One instant as an RGB array (height, width, 3), laid out like a clip; parameters as `still`."""
    return next(scene_at(panels, at_s=at_s, options=options or ClipOptions()).frames()).copy()


def scene_at(panels: Sequence[tuple[Trace, Marks]], *, at_s: float, options: ClipOptions) -> Scene:
    """The scene of one instant; parameters as `still`."""
    if panels:
        time = panels[0][0].time_s
        if not time[0] - 1e-9 <= at_s <= time[-1] + 1e-9:
            raise InputError(f"still: at_s: expected {time[0]:.2f} to {time[-1]:.2f}, got {at_s}")
    times = locked_times(list(panels), np.array([float(at_s)])) if panels else []
    return Scene(list(panels), times, look=options.look, slow=options.slow)
