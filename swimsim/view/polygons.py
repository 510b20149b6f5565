"""Convex polygons of a stretch of frames in arrays: what a drawing hands over to be filled by compiled code.

Every drawing may have a method `polygons`; one that has none is drawn frame by frame into a sketch, whose log says
the same (`logged`). `merged` puts those of all drawings into the order in which they are to be filled.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .pens import Path, Sketch

UNIT = 16  # corners are given in 1/16 px
GROWN_PX = 0.65  # by how much OpenCV's anti-aliased filled shapes are larger than their corners say [px]
NO_ROW = 1 << 20  # a row below every picture
HAIR_PX = 1.5  # width of a line that shows as much ink as OpenCV's anti-aliased one of thickness 1 [px]
JOIN = 0.2  # share of its width by which each piece of a chain is longer at both ends


@dataclass(frozen=True)
class Polygons:
    """Polygons of one number of corners, in drawing order within each frame.

    Attributes
    ----------
    corners : numpy.ndarray, shape (k, c, 2), int32
        From the corner of their view. [1/16 px]
    frames : numpy.ndarray, shape (k,), int
    tones : numpy.ndarray, shape (k, 3), uint8
    grow : float or numpy.ndarray of shape (k,)
        By how much each is larger than its corners say. [px]
    share : float
        How much of its colour is laid over the picture, 0 to 1.
    low : numpy.ndarray, shape (k, 3), uint8, optional
        Tones from `rows` downwards.
    rows : numpy.ndarray, shape (k,), int, optional
    grey : bool
        Whether only their brightness is drawn: lines as thin as a pixel show no colour of their own in a video.
    picture : numpy.ndarray, shape (height, width, 3), uint8, optional
        Laid down instead, with its upper left corner at the first corner, in whole pixels.
    """

    corners: np.ndarray
    frames: np.ndarray
    tones: np.ndarray
    grow: float | np.ndarray = GROWN_PX
    share: float = 1.0
    low: np.ndarray | None = None
    rows: np.ndarray | None = None
    grey: bool = False
    picture: np.ndarray | None = None


@dataclass(frozen=True)
class Heap:
    """All polygons of a stretch, sorted by frame.

    Attributes
    ----------
    points : numpy.ndarray, shape (m, 2), int32
    table : numpy.ndarray, shape (k, 6), int32
        First point, number of points, box, row at which the tone changes, number of a picture or -1, whether grey.
    tones : numpy.ndarray, shape (k, 6), uint8
        Tone above and below that row.
    reals : numpy.ndarray, shape (k, 2), float32
        Growth [px] and share.
    boxes : numpy.ndarray, shape (b, 4), int32
        Left, top, right, low. [px]
    first : numpy.ndarray, shape (n_frames + 1,), int
        Where the polygons of each frame begin.
    bytes, places : numpy.ndarray
        Pictures in a row, and (start, height, width) of each.
    """

    points: np.ndarray
    table: np.ndarray
    tones: np.ndarray
    reals: np.ndarray
    boxes: np.ndarray
    first: np.ndarray
    bytes: np.ndarray
    places: np.ndarray

    @property
    def arrays(self) -> tuple[np.ndarray, ...]:
        """What compiled code is given."""
        return self.points, self.table, self.tones, self.reals, self.boxes, self.bytes, self.places


def uniform(corners: np.ndarray, colours, *, known: np.ndarray | None = None) -> Polygons:
    """Filled shapes (n_frames, n_shapes, n_corners, 2) with one colour per shape; some may be left out."""
    n, m = corners.shape[:2]
    frames = np.repeat(np.arange(n), m)
    flat = corners.reshape(n * m, *corners.shape[2:])
    tones = np.tile(np.array(colours, np.uint8).reshape(m, 3), (n, 1))
    if known is None or known.all():
        return Polygons(flat, frames, tones)
    keep = known.reshape(-1)
    return Polygons(flat[keep], frames[keep], tones[keep])


def chains(
    points: np.ndarray, frames: np.ndarray, tones: np.ndarray, *, thickness: int, closed: bool = False
) -> Polygons:
    """Lines through points (k, c, 2) [1/16 px] as quadrilaterals, as wide as OpenCV draws that thickness."""
    width = HAIR_PX if thickness == 1 else thickness + 1.0
    start, end = points[:, :-1], points[:, 1:]
    if closed:
        start, end = points, np.roll(points, -1, axis=1)
    along = (end - start).astype(np.float32)
    length = np.sqrt(np.maximum((along * along).sum(axis=-1, keepdims=True), 1e-6))
    half = along * (width * UNIT / 2 / length)
    across = half[..., ::-1] * np.array([-1, 1], np.float32)
    more = (2 * JOIN if thickness > 1 else 0.0) * half
    a, b = start - more, end + more
    quads = np.rint(np.stack([a + across, b + across, b - across, a - across], axis=2)).astype(np.int32)
    pieces = quads.shape[1]
    return Polygons(
        quads.reshape(-1, 4, 2),
        np.repeat(frames, pieces),
        np.repeat(tones, pieces, axis=0),
        grow=0.0,
        grey=thickness == 1,
    )


def stamps(picture: np.ndarray, at: tuple[int, int], frames: np.ndarray) -> Polygons:
    """A picture with its upper left corner at a place [px] in some frames."""
    corners = np.full((len(frames), 1, 2), np.array(at) * UNIT, np.int32)
    return Polygons(corners, frames, np.zeros((len(frames), 3), np.uint8), picture=picture)


def polygons_of(drawing, canvas: Sketch, n_frames: int) -> list[Polygons]:
    """What a drawing fills, by its own account or from the log of a sketch of its view."""
    if hasattr(drawing, "polygons"):
        return drawing.polygons()
    return logged(drawing, canvas, n_frames)


def logged(drawing, canvas: Sketch, n_frames: int) -> list[Polygons]:
    """What a drawing draws into a sketch of its view, frame by frame."""
    found, log = [], canvas.log
    left, top, *_ = log.edges(canvas)
    for frame in range(n_frames):
        log.items.clear()
        drawing.draw(canvas, frame)
        found += [part for item in log.items for part in _of_item(item, frame, (left, top))]
    log.items.clear()
    return found


def _of_item(item, frame: int, origin: tuple[int, int]) -> list[Polygons]:
    """Polygons of one entry of a log."""
    one = np.full(1, frame)
    if not isinstance(item, Path):
        return [stamps(item.picture, (item.at[0] - origin[0], item.at[1] - origin[1]), one)]
    tone, parts = np.array([item.colour], np.uint8), []
    for piece in item.pieces:
        corners = np.rint((piece - origin) * UNIT).astype(np.int32)[None]
        if item.width:
            thick = max(1, round(item.width - 1))
            if corners.shape[1] > 1:
                parts.append(chains(corners, one, tone, thickness=thick, closed=item.closed))
        else:
            parts.append(Polygons(corners, one, tone, share=item.share))
    return parts


def merged(parts: list[tuple[tuple[int, int, int, int], Polygons]], n_frames: int) -> Heap:
    """All polygons, each with the box (left, top, width, height) of its view, sorted by frame."""
    parts = [(box, p) for box, p in parts if len(p.frames)]
    boxes = sorted({box for box, _ in parts})
    number, pictures = {box: i for i, box in enumerate(boxes)}, {}
    tables, tones, reals, start = [], [], [], 0
    for box, p in parts:
        k, c = p.corners.shape[:2]
        table = np.empty((k, 6), np.int32)
        table[:, 0], table[:, 1], table[:, 2] = start + c * np.arange(k), c, number[box]
        table[:, 3] = NO_ROW if p.rows is None else p.rows
        table[:, 4] = -1 if p.picture is None else pictures.setdefault(id(p.picture), (len(pictures), p))[0]
        table[:, 5] = p.grey
        tables.append(table)
        tones.append(np.concatenate([p.tones, p.tones if p.low is None else p.low], axis=1))
        real = np.empty((k, 2), np.float32)
        real[:, 0], real[:, 1] = p.grow, p.share
        reals.append(real)
        start += k * c
    frames = np.concatenate([np.zeros(0, int), *(p.frames for _, p in parts)]).astype(np.int16)
    order = np.argsort(frames, kind="stable")
    flat, places = _packed([p.picture for _, p in pictures.values()])
    return Heap(
        np.concatenate([np.zeros((0, 2), np.int32), *(p.corners.reshape(-1, 2) for _, p in parts)]),
        np.concatenate([np.zeros((0, 6), np.int32), *tables])[order],
        np.concatenate([np.zeros((0, 6), np.uint8), *tones])[order],
        np.concatenate([np.zeros((0, 2), np.float32), *reals])[order],
        np.array([(x, y, x + w, y + h) for x, y, w, h in boxes], np.int32).reshape(-1, 4),
        np.searchsorted(frames[order], np.arange(n_frames + 1)),
        flat, places,
    )  # fmt: skip


def _packed(pictures: list[np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """Pictures one after the other, and start, height and width of each."""
    sizes = [p.size for p in pictures]
    starts = np.cumsum([0, *sizes])[:-1]
    places = [(s, *p.shape[:2]) for s, p in zip(starts.tolist(), pictures, strict=True)]
    flat = [np.zeros(0, np.uint8), *(np.ascontiguousarray(p).reshape(-1) for p in pictures)]
    return np.concatenate(flat), np.array(places, np.int64).reshape(-1, 3)
