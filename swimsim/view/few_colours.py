"""Smaller files of the same look: the pictures of a PNG or GIF in a palette of few colours.

Fewer colours make longer runs of one colour, which both formats pack well. Colours that carry meaning are kept
exactly; the others are chosen by how much of the picture they fill.
"""

from __future__ import annotations

import os
from collections.abc import Sequence

import numpy as np

from swimsim.ground.atomic import whole_file
from swimsim.ground.errors import InputError

from .colours import THEMES, Colour
from .palette import ENTRIES, Palette
from .writer import write_gif

_LIGHT = THEMES["light"]
#: Colours with a meaning of their own, and black and white.
MEANT = (
    _LIGHT.page, _LIGHT.text, _LIGHT.fault, _LIGHT.correct, _LIGHT.drill, _LIGHT.band, _LIGHT.on_fault,
)  # fmt: skip
SAMPLES = 6  # pictures of a clip from which its colours are chosen


def few_colours_png(path: str | os.PathLike, count: int, *, keep: Sequence[Colour] = MEANT) -> None:
    """Write a PNG anew in at most `count` colours; its notes and its size on paper stay.

    Parameters and errors as `few_colours_gif`.
    """
    from PIL import Image, PngImagePlugin

    _check(count, keep)
    note = PngImagePlugin.PngInfo()
    with Image.open(path) as picture:
        for name, text in picture.text.items():
            note.add_text(name, text)
        kept = {"dpi": picture.info["dpi"]} if "dpi" in picture.info else {}
        full = np.array(picture.convert("RGB"))
    palette, places = Palette(chosen([full], count, keep=keep)), np.empty(full.shape[:2], np.uint8)
    palette.index(full, places)
    few = Image.fromarray(places).convert("P")
    few.putpalette(palette.colours.tobytes())
    with whole_file(path) as part:
        few.save(part, format="PNG", pnginfo=note, optimize=True, **kept)


def few_colours_gif(
    path: str | os.PathLike, count: int, *, keep: Sequence[Colour] = MEANT, fps: float | None = None
) -> None:
    """Write a GIF anew in at most `count` colours, those of `keep` among them where it shows them.

    Parameters
    ----------
    fps : float, optional
        Pictures per second; as before without it.

    Raises
    ------
    InputError
        More than 255 colours, or not more than are to be kept.
    """
    from PIL import Image, ImageSequence

    _check(count, keep)
    with Image.open(path) as clip:
        size, pictures, shown = clip.size, [], []
        for picture in ImageSequence.Iterator(clip):
            pictures.append(np.array(picture.convert("RGB")))
            shown.append(picture.info["duration"])
    rate = fps or 1000 * len(shown) / sum(shown)
    write_gif(path, pictures, size=size, fps=rate, palette=Palette(chosen(pictures, count, keep=keep)))


def chosen(pictures: Sequence[np.ndarray], count: int, *, keep: Sequence[Colour] = MEANT) -> np.ndarray:
    """At most `count` colours (k, 3) for RGB pictures: those of `keep` that are seen, then by area."""
    from PIL import Image

    pick = np.unique(np.linspace(0, len(pictures) - 1, SAMPLES).round().astype(int))
    mosaic = np.concatenate([pictures[i] for i in pick])
    packed = np.unique(mosaic.reshape(-1, 3).astype(np.uint32) @ np.array([1 << 16, 1 << 8, 1], np.uint32))
    seen = set(packed.tolist())
    kept = [colour for colour in keep if (colour[0] << 16 | colour[1] << 8 | colour[2]) in seen]
    few = Image.fromarray(mosaic).quantize(count - len(kept), kmeans=2, dither=Image.Dither.NONE)
    others = np.array(few.getpalette(), np.uint8).reshape(-1, 3)[: count - len(kept)]
    return np.unique(np.concatenate([np.array(kept, np.uint8).reshape(-1, 3), others]), axis=0)


def _check(count: int, keep: Sequence[Colour]) -> None:
    if not len(keep) < count <= ENTRIES:
        raise InputError(f"few_colours: count: expected {len(keep) + 1} to {ENTRIES}, got {count}")
