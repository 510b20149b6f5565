"""The one number of a panel and its target band: never cut off, and never smaller than the target.

Where the room is short the two shrink together, then the target goes into a row of its own, then the words
before the number are dropped. The number and its unit always stay.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from swimsim.ground.errors import InputError
from swimsim.ground.records import Marks

from .colours import Theme
from .layout import Box, Page
from .lettering import Letters, fitted, text_width, wrapped, write

LAST_NUMBER = re.compile(r"[-+\u2212]?\d+(?:[.,]\d+)?\D*$")
LEAST_NUMBER, LEAST_BAND = 9, 9  # smallest letters of a number, and of a target before it is wrapped [px]
BESIDE_SHARE, WORDS_SHARE = 0.8, 0.6  # how far letters shrink for one row, and for the words before a number
BAND_LINES = 2
SENTENCE_ROWS, LEAST_SENTENCE = 4, 9  # most rows of sentences, and their smallest letters [px]


@dataclass(frozen=True)
class NumberLine:
    """Words, sizes [px] and rows of one panel; `beside` puts the target into the row of the number.

    With `told` the band is no target but sentences.
    """

    value: str
    value_size: int
    band: tuple[str, ...]
    band_size: int
    beside: bool
    told: bool = False

    @property
    def rows(self) -> int:
        """Rows of the line."""
        return max(1, bool(self.value) + (0 if self.beside else len(self.band)))


def number_of(value: str) -> str:
    """The number and unit of `words: 12 cm`; the whole text if it has no number."""
    tail = value.rpartition(": ")[2]
    if any(c.isdigit() for c in tail) and tail != value:
        return tail
    found = LAST_NUMBER.search(value)
    return found.group() if found else value


def plan(marks: Sequence[Marks], page: Page) -> list[NumberLine]:
    """Words and sizes of the number and the target, alike in all panels.

    Raises
    ------
    InputError
        The picture is too narrow for a number with its unit.
    """
    width, pad, swatch = page.panels[0].numbers.w, _pad(page), _swatch(page)
    if any(m.lines for m in marks):
        return [_sentences(m.lines, page, width - 2 * pad) for m in marks]
    full = page.type_size(26, 11)
    for size in range(full, round(BESIDE_SHARE * full) - 1, -1):
        lines = [
            NumberLine(m.value, size, (m.band,) if m.band else (), _band_size(size), True) for m in marks
        ]
        if all(_row_width(line, pad, swatch) <= width for line in lines):
            return lines
    values, size = _complete([m.value for m in marks], full, width=width - 2 * pad)
    room = width - 2 * pad - swatch - 0.7 * pad
    band_size = min(_fitting([m.band for m in marks], _band_size(size), room), size)
    return [
        NumberLine(v, size, _band_lines(m.band, band_size, room), band_size, False)
        for v, m in zip(values, marks, strict=True)
    ]


def draw(canvas: np.ndarray, box: Box, line: NumberLine, *, theme: Theme, page: Page, zoom: int = 1) -> None:
    """Write the number, and the target beside a hatched swatch, into the box of the line."""
    pad, step = _pad(page), box.h / line.rows
    x, y = box.x + pad, box.y + step / 2
    if line.value:
        letters = Letters(line.value_size, theme.text, bold=True, zoom=zoom)
        write(canvas, line.value, (x, y), letters=letters)
    if not line.band:
        return
    swatch, letters = _swatch(page), Letters(line.band_size, theme.text, zoom=zoom)
    if line.told:
        for i, text in enumerate(line.band):
            write(canvas, text, (x, y + i * step), letters=letters)
        return
    if line.beside:
        x = box.x + box.w - pad - text_width(line.band[0], line.band_size) - 0.7 * pad - swatch
    elif line.value:
        y += step
    _hatched(canvas, Box(round(x), round(y - swatch / 2), swatch, swatch), theme, zoom)
    for i, text in enumerate(line.band):
        write(canvas, text, (x + swatch + 0.7 * pad, y + i * step), letters=letters)


def _sentences(lines: Sequence[str], page: Page, width: float) -> NumberLine:
    """Sentences in place of a number, each on lines of its own, in letters that leave room for the views."""
    for size in range(page.type_size(22, 10), LEAST_SENTENCE - 1, -1):
        rows = [row for line in lines for row in wrapped(line, size, width=width)]
        if len(rows) <= SENTENCE_ROWS:
            break
    rows = [*rows[: SENTENCE_ROWS - 1], " ".join(rows[SENTENCE_ROWS - 1 :])]
    shown = tuple(fitted(row, size, width=width, least=7)[0] for row in rows if row)
    return NumberLine("", size, shown, size, beside=False, told=True)


def _complete(values: Sequence[str], full: int, *, width: float) -> tuple[list[str], int]:
    """Texts that fit whole, and their common size: with their words if these stay readable, else without."""
    least = max(LEAST_NUMBER, round(WORDS_SHARE * full))
    for texts, low in ((list(values), least), ([number_of(v) for v in values], LEAST_NUMBER)):
        size = full
        while size > low and any(text_width(t, size, True) > width for t in texts):
            size -= 1
        if all(text_width(t, size, True) <= width for t in texts):
            return texts, size
    longest = max(texts, key=len)
    raise InputError(f"size: expected panels wide enough for '{longest}', got {width:.0f} pixels")


def _fitting(bands: Sequence[str], size: int, room: float) -> int:
    """The size at which all targets fit into one line, or the least."""
    while size > LEAST_BAND and any(text_width(b, size) > room for b in bands):
        size -= 1
    return size


def _band_lines(band: str, size: int, room: float) -> tuple[str, ...]:
    """The target in one line, or two."""
    if not band:
        return ()
    lines = wrapped(band, size, width=room)
    lines = [*lines[: BAND_LINES - 1], " ".join(lines[BAND_LINES - 1 :])]
    return tuple(fitted(line, size, width=room, least=7)[0] for line in lines if line)


def _row_width(line: NumberLine, pad: int, swatch: int) -> float:
    """Width that a single row needs."""
    value = text_width(line.value, line.value_size, True) + pad if line.value else 0.0
    band = swatch + 1.7 * pad + text_width(line.band[0], line.band_size) if line.band else 0.0
    return value + band + pad


def _band_size(size: int) -> int:
    """Size of the target beside a number of `size`: a shade smaller. [px]"""
    return round(0.92 * size)


def _pad(page: Page) -> int:
    return max(4, round(14 * page.unit))


def _swatch(page: Page) -> int:
    return max(8, round(20 * page.unit))


def _hatched(canvas: np.ndarray, box: Box, theme: Theme, zoom: int) -> None:
    """Square in the band colour with slanted stripes, so that it is known without colour."""
    patch = box.cut(canvas, zoom)
    row, col = np.indices(patch.shape[:2])
    period = max(box.w // 3, 3) * zoom
    striped = ((row + col) % period) < 0.6 * period
    patch[striped] = theme.band
    edge = zoom
    for side in (patch[:edge], patch[-edge:], patch[:, :edge], patch[:, -edge:]):
        side[:] = theme.band
