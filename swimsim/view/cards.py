"""Whole pictures of words: what is shown, one thing to think of, and the caution at the end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from swimsim.ground.conventions import CAUTION_LINE, MODEL_LINE
from swimsim.ground.errors import InputError

from .colours import Theme
from .furniture import fill
from .layout import Box
from .lettering import Letters, text_width, wrapped, write

HEADING, LINE, SMALL = 64, 38, 24  # letters at 1280 x 720 [px]
LEAST = 10  # smallest letters [px]
WIDTH_SHARE, HEIGHT_SHARE = 0.84, 0.86  # of the picture that words may fill
STEP = 1.4  # from line to line, in sizes of the letters
PARAGRAPH = 0.55  # more between two paragraphs


@dataclass(frozen=True)
class Card:
    """Words that fill a picture for a moment.

    Parameters
    ----------
    heading : str
        Few words, large.
    lines : tuple of str
        One short paragraph each.
    small : str
        A last paragraph in small bold letters: the model line, unless other words are given.
    word : {"FAULT", "CORRECT", "DRILL", ""}
        Colours the strip at the top, in which the word stands.

    Raises
    ------
    InputError
        No words.
    """

    heading: str = ""
    lines: tuple[str, ...] = ()
    small: str = MODEL_LINE
    word: str = ""

    def __post_init__(self) -> None:
        if not self.heading and not any(self.lines):
            raise InputError("card: expected a heading or lines, got none")


def caution_card() -> Card:
    """The card that ends every clip."""
    return Card(lines=(CAUTION_LINE,))


def card_picture(card: Card, size: tuple[int, int], theme: Theme) -> np.ndarray:
    """A card as a picture, shape (height, width, 3), in letters as large as fit.

    Raises
    ------
    InputError
        More words than the picture can hold.
    """
    width, height = size
    canvas = np.empty((height, width, 3), np.uint8)
    canvas[:] = theme.page
    strip = _strip(canvas, card, theme)
    rows = _fitted(card, (width, height - strip))
    y = strip + (height - strip - _tall(rows)) / 2
    for text, letter, bold, gap in rows:
        y += gap
        letters = Letters(letter, theme.text, bold=bold)
        write(canvas, text, (width / 2, y + STEP * letter / 2), letters=letters, anchor="cm")
        y += STEP * letter
    return canvas


def _strip(canvas: np.ndarray, card: Card, theme: Theme) -> int:
    """Strip with the word of the card at the top; returns its height. [px]"""
    word = card.word.upper()
    colours = theme.strip(word)
    if colours is None:
        return 0
    height, width = canvas.shape[:2]
    letter = max(LEAST + 4, round(min(width / 640, height / 720) * 44))
    ground, ink = colours
    fill(canvas, Box(0, 0, width, 2 * letter), ground)
    write(canvas, word, (width / 2, letter), letters=Letters(letter, ink, bold=True), anchor="cm")
    return 2 * letter


def _fitted(card: Card, size: tuple[int, int]) -> list[tuple[str, int, bool, float]]:
    """Rows (text, size, bold, gap before) at the largest scale at which all words fit."""
    width, height = size
    whole = max(min(width / 1280, height / 720), 0.35 * min(width, height) / 360)
    for scale in np.linspace(1.0, 0.2, 33) * whole:
        rows = _rows(card, scale, WIDTH_SHARE * width)
        fits = all(text_width(text, letter, bold) <= 0.96 * width for text, letter, bold, _ in rows)
        if fits and _tall(rows) <= HEIGHT_SHARE * height:
            return rows
    raise InputError(f"card '{card.heading}': expected fewer words for {width} x {height} pixels")


def _rows(card: Card, scale: float, width: float) -> list[tuple[str, int, bool, float]]:
    rows: list[tuple[str, int, bool, float]] = []
    texts = [(card.heading, HEADING, True), *((text, LINE, False) for text in card.lines)]
    for text, full, bold in (*texts, (card.small, SMALL, True)):
        letter = max(LEAST, round(scale * full))
        gap = PARAGRAPH * letter if rows else 0.0
        for line in wrapped(text, letter, width=width, bold=bold) if text else ():
            rows.append((line, letter, bold, gap))
            gap = 0.0
    return rows


def _tall(rows: list[tuple[str, int, bool, float]]) -> float:
    return sum(gap + STEP * letter for _, letter, _, gap in rows)
