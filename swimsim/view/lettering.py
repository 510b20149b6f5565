"""Words in pictures: DejaVu Sans as bundled with matplotlib, drawn once by Pillow and kept as alpha pictures.

Words are drawn eight times too large and averaged down, so a picture at any zoom shows the same shapes.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

import numpy as np

from swimsim.ground.errors import MachineError

from .colours import Colour
from .pens import Sketch, Words

OVERSAMPLE = 8


@lru_cache(maxsize=1)
def font_folder() -> Path:
    """Folder of the bundled fonts, found without importing matplotlib.

    Raises
    ------
    MachineError
        matplotlib is not installed.
    """
    spec = find_spec("matplotlib")
    for place in spec.submodule_search_locations if spec else ():
        folder = Path(place) / "mpl-data" / "fonts" / "ttf"
        if (folder / "DejaVuSans.ttf").is_file():
            return folder
    raise MachineError("pictures need the font DejaVu Sans; install it with: pip install matplotlib")


@lru_cache(maxsize=64)
def _font(size: int, bold: bool):
    from PIL import ImageFont

    return ImageFont.truetype(
        str(font_folder() / ("DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf")), size
    )


@lru_cache(maxsize=1024)
def text_width(text: str, size: int, bold: bool = False) -> float:
    """Width of a line of text. [px]"""
    return _font(size * OVERSAMPLE, bold).getlength(text) / OVERSAMPLE


@lru_cache(maxsize=1024)
def alpha(text: str, size: int, bold: bool = False, zoom: int = 1) -> np.ndarray:
    """Coverage 0..1 of a line of text, shape (height, width), top at the font's ascent line."""
    from PIL import Image, ImageDraw

    font = _font(size * OVERSAMPLE, bold)
    width = int(np.ceil(font.getlength(text) / OVERSAMPLE)) + 1
    height = int(np.ceil(sum(font.getmetrics()) / OVERSAMPLE))
    picture = Image.new("L", (width * OVERSAMPLE, height * OVERSAMPLE), 0)
    ImageDraw.Draw(picture).text((0, 0), text, font=font, fill=255)
    step = OVERSAMPLE // zoom
    cells = np.asarray(picture, np.float32).reshape(height * zoom, step, width * zoom, step)
    return cells.mean(axis=(1, 3)) / 255


def fitted(text: str, size: int, *, width: float, bold: bool = False, least: int = 9) -> tuple[str, int]:
    """The text and a size at which it fits into `width`; shortened if even the least is too wide."""
    while size > least and text_width(text, size, bold) > width:
        size -= 1
    if text_width(text, size, bold) > width:
        while text and text_width(text + "…", size, bold) > width:
            text = text[:-1].rstrip()
        text += "…"
    return text, size


def wrapped(text: str, size: int, *, width: float, bold: bool = False) -> list[str]:
    """Lines of at most `width` pixels, broken between words."""
    lines: list[str] = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer, size, bold) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


@dataclass(frozen=True)
class Letters:
    """Size [px], colour, weight and enlargement of a line of text."""

    size: int
    colour: Colour
    bold: bool = False
    zoom: int = 1


def write(
    canvas: np.ndarray, text: str, at: tuple[float, float], *, letters: Letters, anchor: str = "lm"
) -> None:
    """Blend one line of text into a picture, in place.

    `at` is in unzoomed pixels; `anchor` is l, c or r for the sideways anchor, then t, m or b for the other.
    """
    zoom = letters.zoom
    if isinstance(canvas, Sketch):
        _log(canvas, text, at, letters=letters, anchor=anchor)
        return
    cover = alpha(text, letters.size, letters.bold, zoom)
    high, wide = cover.shape
    x = round(at[0] - {"l": 0, "c": 0.5, "r": 1}[anchor[0]] * wide / zoom) * zoom
    y = round(at[1] - {"t": 0, "m": 0.5, "b": 1}[anchor[1]] * high / zoom) * zoom
    top, left = max(y, 0), max(x, 0)
    patch = canvas[top : y + high, left : x + wide]
    cover = cover[top - y : top - y + patch.shape[0], left - x : left - x + patch.shape[1], None]
    ink = np.array(letters.colour, np.float32)
    patch[:] = np.rint(patch + cover * (ink - patch)).astype(np.uint8)


def _log(canvas: Sketch, text: str, at: tuple[float, float], *, letters: Letters, anchor: str) -> None:
    """Keep a line of text where `write` would draw it."""
    ascent, descent = (m / OVERSAMPLE for m in _font(letters.size * OVERSAMPLE, letters.bold).getmetrics())
    width = text_width(text, letters.size, letters.bold)
    x = at[0] - {"l": 0, "c": 0.5, "r": 1}[anchor[0]] * width
    y = at[1] - {"t": 0, "m": 0.5, "b": 1}[anchor[1]] * (ascent + descent) + ascent
    left, top, *_ = canvas.log.edges(canvas)
    colour = tuple(int(c) for c in letters.colour)
    canvas.log.items.append(Words(text, (left + x, top + y), letters.size, width, colour, letters.bold))
