"""Clips and stills of one or two panels: the public entry to the drawing room."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from swimsim.ground.errors import InputError, nearest
from swimsim.ground.records import Marks, Trace

from . import furniture
from .colours import theme_named
from .palette import Palette
from .sampling import clip_times, locked_times
from .scene import Look, Scene
from .writer import CRF, write_gif, write_mp4, write_png

SUFFIXES = (".mp4", ".gif")
END_CARD_S = 3.0  # time to read some thirty words [s]
PALETTE_FRAMES = 6


@dataclass(frozen=True)
class ClipOptions:
    """How a clip is made.

    Parameters
    ----------
    look : Look
        Views, layout, theme, size.
    fps : float
        Frames per second of the clip.
    slow : float
        Playback speed: 0.5 is half speed.
    seconds : float, optional
        Swimming time to show; the whole trace without it. [s]
    end_card : bool
        End with 3 s of the caution and the model line, once.
    crf : int
        Encoder quality of MP4; smaller is better and larger on disk.
    """

    look: Look = field(default_factory=Look)
    fps: float = 30.0
    slow: float = 1.0
    seconds: float | None = None
    end_card: bool = True
    crf: int = CRF


def write_clip(
    path: str | os.PathLike, panels: Sequence[tuple[Trace, Marks]], *, options: ClipOptions | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> int:  # fmt: skip
    """Write a moving picture; the suffix of `path` chooses MP4 or GIF. Returns the number of frames.

    Parameters
    ----------
    path : path ending in .mp4 or .gif
    panels : sequence of (Trace, Marks)
        Left to right, or top to bottom. Panels with a phase show the same cycle share at every instant.
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
    suffix = Path(path).suffix.lower()
    if not panels:
        raise InputError("clip: expected one panel or more, got none")
    if suffix not in SUFFIXES:
        raise InputError(
            f"{path}: expected a file name ending in .mp4 or .gif, got '{suffix}'; "
            f"{nearest(suffix, SUFFIXES)}"
        )
    lead = clip_times(panels[0][0], fps=options.fps, slow=options.slow, seconds=options.seconds)
    times = locked_times(list(panels), lead)
    size = _drawn_size(options.look)
    if suffix == ".mp4":
        options = replace(options, look=_in_video(options.look))
    scene = Scene(list(panels), times, look=options.look, slow=options.slow)
    frames = _with_card(scene, options, progress)
    if suffix == ".mp4":
        return write_mp4(path, frames, size=size, fps=options.fps, crf=options.crf, video=True)
    palette = Palette.of(_samples(panels, times, options))
    return write_gif(path, frames, size=size, fps=options.fps, palette=palette)


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
    options = options or ClipOptions()
    if panels:
        time = panels[0][0].time_s
        if not time[0] - 1e-9 <= at_s <= time[-1] + 1e-9:
            raise InputError(f"still: at_s: expected {time[0]:.2f} to {time[-1]:.2f}, got {at_s}")
    times = locked_times(list(panels), np.array([float(at_s)])) if panels else []
    return next(Scene(list(panels), times, look=options.look, slow=options.slow).frames()).copy()


def _drawn_size(look: Look) -> tuple[int, int]:
    return (look.size[0] * look.zoom, look.size[1] * look.zoom)


def _in_video(look: Look) -> Look:
    """The same look in the colours of a video stream."""
    return replace(look, theme=theme_named(look.theme).in_video())


def _with_card(
    scene: Scene, options: ClipOptions, progress: Callable[[int, int], None] | None
) -> Iterator[np.ndarray]:
    """The frames of a scene, then the end card."""
    card = round(END_CARD_S * options.fps) if options.end_card else 0
    total = scene.n_frames + card
    for done, frame in enumerate(scene.frames(), 1):
        yield frame
        if progress:
            progress(done, total)
    if card:
        last = furniture.end_card(_drawn_size(options.look), theme_named(options.look.theme))
        for _ in range(card):
            yield last
        if progress:
            progress(total, total)


def _samples(panels, times: list[np.ndarray], options: ClipOptions) -> list[np.ndarray]:
    """A few frames spread over the clip, for its palette, and the end card."""
    pick = np.unique(np.linspace(0, len(times[0]) - 1, PALETTE_FRAMES).round().astype(int))
    few = Scene(list(panels), [t[pick] for t in times], look=options.look, slow=options.slow)
    pictures = [frame.copy() for frame in few.frames()]
    if options.end_card:
        pictures.append(furniture.end_card(_drawn_size(options.look), theme_named(options.look.theme)))
    return pictures
