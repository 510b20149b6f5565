"""Numbers beside lines and arcs: small plates with the words, and a place for each that hides nothing."""

from __future__ import annotations

import math

import numpy as np

from .colours import Colour, Theme
from .lettering import alpha

HALF_UP = 1e-6  # a half that was solved to 1e-9 rounds the same way on every machine
DIFFERS_DEG = 3.0  # an angle as seen is written when it is off by this or more
SMALL = 0.72  # size of the second line
TURNS_DEG = (0, 30, -30, 60, -60, 100, -100, 140, -140, 180)  # where else a plate may go, around its anchor
FURTHER = (1.0, 2.2)  # and how far
OUTSIDE, COVERS, EXTRA = 6.0, 3.0, 0.04  # price of a pixel outside, of a covered point, of each step away
PRICED = 12  # frames looked at to choose a place
UNITS = {"deg": "°", "cm": " cm", "%": " %"}


def whole(value: float) -> int:
    """The nearest whole number, halves upwards."""
    return math.floor(value + 0.5 + HALF_UP)


def words(value: float, unit: str, *, signed: bool = False) -> str:
    """`70°`, `+12 cm`, `-15 cm`, `21 %`."""
    number = whole(value)
    return f"{'+' if signed and number > 0 else ''}{number}{UNITS.get(unit, f' {unit}')}"


def angle_words(value: float, seen: float | None) -> tuple[str, ...]:
    """The angle, and how this view shows it where that differs by 3 degrees or more."""
    if seen is None or abs(seen - value) < DIFFERS_DEG:
        return (words(value, "deg"),)
    if not math.isfinite(seen):
        return (f"true {words(value, 'deg')}",)
    return (f"true {words(value, 'deg')}", f"as seen {words(seen, 'deg')}")


class Plates:
    """Draws lines of text on the page colour with an edge, and keeps every picture."""

    def __init__(self, theme: Theme, *, size: int, edge: Colour, zoom: int = 1):
        self.theme, self.size, self.edge, self.zoom = theme, size, edge, zoom
        self.pictures: dict[tuple[str, ...], np.ndarray] = {}

    def picture(self, lines: tuple[str, ...]) -> np.ndarray:
        """The plate of one or two lines, shape (height, width, 3)."""
        if lines not in self.pictures:
            self.pictures[lines] = self._make(lines)
        return self.pictures[lines]

    def box(self, lines: tuple[str, ...]) -> tuple[int, int]:
        """Width and height of a plate. [px]"""
        high, wide = self.picture(lines).shape[:2]
        return wide // self.zoom, high // self.zoom

    def _make(self, lines: tuple[str, ...]) -> np.ndarray:
        zoom, pad = self.zoom, max(2, round(0.22 * self.size))
        sizes = [self.size] + [max(9, round(SMALL * self.size))] * (len(lines) - 1)
        covers = [alpha(t, s, i == 0, zoom) for i, (t, s) in enumerate(zip(lines, sizes, strict=True))]
        wide = max(c.shape[1] for c in covers) + 2 * pad * zoom
        plate = np.empty((sum(c.shape[0] for c in covers) + pad * zoom, wide, 3), np.float32)
        plate[:] = self.theme.page
        top, ink = pad * zoom // 2, np.array(self.theme.text, np.float32)
        for cover in covers:
            left = (wide - cover.shape[1]) // 2
            patch = plate[top : top + cover.shape[0], left : left + cover.shape[1]]
            patch += cover[..., None] * (ink - patch)
            top += cover.shape[0]
        line = max(1, round(self.size / 14)) * zoom
        for edge in (plate[:line], plate[-line:], plate[:, :line], plate[:, -line:]):
            edge[:] = self.edge
        return np.rint(plate).astype(np.uint8)


def middles(
    anchor: np.ndarray, way: np.ndarray, *, box: tuple[int, int], gap: float, free: Room
) -> np.ndarray:
    """Middle of a plate in every frame.

    Parameters
    ----------
    anchor, way : numpy.ndarray, shape (n_frames, 2)
        Where it belongs, and the unit direction in which it stands off; NaN where it is not shown.
    box : (int, int)
        Width and height of the plate. [px]
    gap : float
        From the anchor to the edge of the plate. [px]
    free : Room

    Returns
    -------
    numpy.ndarray, shape (n_frames, 2)
        One direction for all frames, the cheapest: inside the view, and off the marked limb. Always inside.
    """
    half = np.array(box) / 2
    shown = np.flatnonzero(np.isfinite(anchor).all(1) & np.isfinite(way).all(1))
    if not len(shown):
        return np.full_like(anchor, np.nan)
    few = shown[np.unique(np.linspace(0, len(shown) - 1, PRICED).astype(int))]
    prices = [
        free.price(_stand_off(anchor[few], way[few], half, turn=t, gap=g * gap), half, few) + EXTRA * i
        for i, (g, t) in enumerate((g, t) for g in FURTHER for t in TURNS_DEG)
    ]
    best = int(np.argmin(prices))
    further, turn = FURTHER[best // len(TURNS_DEG)], TURNS_DEG[best % len(TURNS_DEG)]
    return free.inside(_stand_off(anchor, way, half, turn=turn, gap=further * gap), half)


class Room:
    """A view as plates see it: its size, and the points that they should leave free.

    Parameters
    ----------
    size_px : (int, int)
    points : numpy.ndarray, shape (n_frames, m, 2)
    """

    def __init__(self, size_px: tuple[int, int], points: np.ndarray):
        self.size, self.points = np.array(size_px, float), points

    def inside(self, middle: np.ndarray, half: np.ndarray) -> np.ndarray:
        """Middles moved so that the whole plate is in the view."""
        return np.clip(middle, half + 1, np.maximum(self.size - half - 2, half + 1))

    def price(self, middle: np.ndarray, half: np.ndarray, frames: np.ndarray) -> float:
        """Pixels outside, and points covered once the plate is inside, as one price."""
        moved = self.inside(middle, half)
        off = np.abs(self.points[frames] - moved[:, None])
        with np.errstate(invalid="ignore"):
            covered = (off < half + 2).all(-1).mean(1)
        return float(OUTSIDE * np.abs(moved - middle).mean() / half.mean() + COVERS * covered.mean())


def _stand_off(anchor, way, half, *, turn: float, gap: float) -> np.ndarray:
    """Middle of a plate whose edge is `gap` away from the anchor, in a direction turned by some degrees."""
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    turned = way @ np.array([[cos, sin], [-sin, cos]])
    return anchor + turned * (gap + np.abs(turned) @ half[:, None])
