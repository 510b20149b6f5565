"""Clips of several parts: stretches of swimming at different speeds, cards, and captions beside them."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from swimsim.ground.atomic import check_file
from swimsim.ground.errors import InputError, nearest

from . import quick_scene
from .captions import Cue, check_captions, webvtt, write_captions
from .cards import card_picture
from .colours import theme_named
from .look import Look
from .palette import Palette
from .parts import Part, caution_part, teaching_parts
from .scene import Scene
from .stretch import Stretch, Timeline
from .writer import CRF, WEBM_CRF, Shown, write_gif, write_mp4, write_webm

SUFFIXES = (".mp4", ".webm", ".gif")
PALETTE_FRAMES = 6
CAPTIONS_SUFFIX = ".vtt"
Progress = Callable[[int, int], None]
__all__ = ["Part", "Reel", "caution_part", "teaching_parts", "write_reel"]


@dataclass(frozen=True)
class Reel:
    """What was written: pictures in all, pictures per second, captions with their times."""

    frames: int
    fps: float
    captions: tuple[Cue, ...]

    @property
    def seconds(self) -> float:
        """Length of the clip. [s]"""
        return self.frames / self.fps


@dataclass(frozen=True)
class _Planned:
    """A part with the times of its pictures; `stretch` is none for a card."""

    part: Part
    frames: int
    stretch: Stretch | None = None


def write_reel(
    path: str | os.PathLike, parts: Sequence[Part], *, look: Look | None = None, fps: float = 30.0,
    crf: int | None = None, progress: Progress | None = None,
) -> Reel:  # fmt: skip
    """Write a clip part by part; the suffix of `path` chooses MP4, WebM or GIF.

    Memory does not grow with the length of the clip. If any part has a caption, the captions are written
    beside it, under the same name with the suffix .vtt; a file there that is not ours is left and refused.

    Parameters
    ----------
    path : path ending in .mp4, .webm or .gif
    parts : sequence of Part
    look : Look, optional
    fps : float
        Pictures per second.
    crf : int, optional
        Encoder quality of MP4 and WebM; smaller is better and larger on disk.
    progress : callable, optional
        Called with pictures done and pictures in all.

    Raises
    ------
    InputError
        Unknown suffix, view, layout or theme; a size that cannot be; more swimming than there is; a caption
        that is too long.
    MachineError
        No video writer.
    """
    look, suffix = look or Look(), checked_suffix(path)
    planned = _planned(parts, fps)
    cues = _cues(planned, fps)
    webvtt(cues)
    if cues:
        check_captions(Path(path).with_suffix(CAPTIONS_SUFFIX))
    size = (look.size[0] * look.zoom, look.size[1] * look.zoom)
    if suffix == ".gif":
        frames = _pictures(planned, look, progress)
        count = write_gif(path, frames, size=size, fps=fps, palette=Palette.of(_samples(planned, look)))
    else:
        write, quality = (write_mp4, CRF) if suffix == ".mp4" else (write_webm, WEBM_CRF)
        frames = _pictures(planned, replace(look, theme=theme_named(look.theme).in_video()), progress)
        count = write(path, frames, size=size, fps=fps, crf=quality if crf is None else crf, video=True)
    if cues:
        write_captions(Path(path).with_suffix(CAPTIONS_SUFFIX), cues)
    return Reel(count, fps, tuple(cues))


def checked_suffix(path: str | os.PathLike) -> str:
    """The kind of clip that a path asks for, before any work is done."""
    suffix = Path(path).suffix.lower()
    if suffix not in SUFFIXES:
        known = ", ".join(SUFFIXES[:-1]) + f" or {SUFFIXES[-1]}"
        raise InputError(
            f"{path}: expected a file name ending in {known}, got '{suffix}'; {nearest(suffix, SUFFIXES)}"
        )
    check_file(Path(path))
    return suffix


def _planned(parts: Sequence[Part], fps: float) -> list[_Planned]:
    if not parts:
        raise InputError("clip: expected one part or more, got none")
    timeline, planned = Timeline(fps), []
    for part in parts:
        if part.card is not None:
            planned.append(_Planned(part, max(1, round(part.card_s * fps))))
        else:
            stretch = timeline.plan(part)
            planned.append(_Planned(part, stretch.n_frames, stretch))
    return planned


def _cues(planned: list[_Planned], fps: float) -> list[Cue]:
    """One caption per part that has one; neighbours with the same words become one."""
    cues: list[Cue] = []
    before = 0
    for item in planned:
        start, before = before / fps, before + item.frames
        text = item.part.caption
        if cues and text and cues[-1].text == text and abs(cues[-1].end_s - start) < 1e-9:
            cues[-1] = replace(cues[-1], end_s=before / fps)
        elif text:
            cues.append(Cue(start, before / fps, text))
    return cues


def _pictures(planned: list[_Planned], look: Look, progress: Progress | None) -> Iterator[Shown]:
    """All pictures in order. What is the same as before is said, so that it need not be converted again."""
    total, done = sum(item.frames for item in planned), 0
    for item in planned:
        for shown in _card(item, look) if item.stretch is None else _swimming(item, look):
            yield shown
            done += 1
            if progress:
                progress(done, total)


def _card(item: _Planned, look: Look) -> Iterator[Shown]:
    size = (look.size[0] * look.zoom, look.size[1] * look.zoom)
    picture = card_picture(item.part.card, size, theme_named(look.theme))
    for _ in range(item.frames):
        yield Shown(picture, (0, 0), picture)


def _swimming(item: _Planned, look: Look) -> Iterator[Shown]:
    scene = _scene(item, look)
    quick = scene.theme.video and quick_scene.serves(look)
    pictures = quick_scene.Planes(scene).frames() if quick else scene.frames()
    for picture, repeats in zip(pictures, item.stretch.repeats.tolist(), strict=True):
        for _ in range(repeats):
            yield Shown(picture, scene.rows, scene)


def _scene(item: _Planned, look: Look, pick: np.ndarray | None = None) -> Scene:
    """The scene of a part, or of a few of its pictures."""
    part, clocks = item.part, item.stretch.clocks
    own = {"layout": part.layout, "views": part.views}
    look = replace(look, **{name: value for name, value in own.items() if value is not None})
    times = clocks if pick is None else [clock.times_s[pick] for clock in clocks]
    note = "" if part.locked or len(part.panels) == 1 else "real time"
    return Scene(list(part.panels), list(times), look=look, slow=part.slow, note=note)


def _samples(planned: list[_Planned], look: Look) -> list[np.ndarray]:
    """A few pictures of every part, for the palette."""
    pictures = []
    swimming = sum(item.stretch is not None for item in planned)
    each = max(2, round(PALETTE_FRAMES / max(swimming, 1)))
    for item in planned:
        if item.stretch is None:
            pictures.append(next(_card(item, look)).picture)
        else:
            count = len(item.stretch.repeats)
            pick = np.unique(np.linspace(0, count - 1, each).round().astype(int))
            pictures += [picture.copy() for picture in _scene(item, look, pick).frames()]
    return pictures
