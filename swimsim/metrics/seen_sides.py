"""Left and right put back where an estimator exchanged them for a moment.

From one frame to the next the vectors from the right joints to the left ones of a limb pair turn a little; where left
and right change places they turn round. A limb pair is put right between two such turns if they are close together:
a limb is exchanged for a few frames, not for half of the record.
"""

from __future__ import annotations

import numpy as np

LONGEST_S = 0.4  # of an exchange; a longer one cannot be told from the limbs having crossed (choice of ours)
TURNED = -0.5  # cosine between the vectors of two frames, below which they have turned round (choice of ours)
#: Length of a vector as share of the swimmer's spread in the picture, below which it tells nothing (choice of ours).
CLEAR = 0.06
SOME = 30  # frames that are enough to tell how large the swimmer is in the picture
ARM = ("shoulder", "elbow", "wrist", "knuckles", "fingertip", "thumb_tip")
LEG = ("hip", "knee", "ankle", "heel", "toe")
#: Joints that change places together, and those that tell of it: feet cross in every kick.
PAIRS = ((ARM, ARM), (LEG, ("hip", "knee")), (("eye", "ear"), ("eye", "ear")))


def sides_put_right(pixels: np.ndarray, names: tuple[str, ...], time_s: np.ndarray) -> tuple[np.ndarray, int]:
    """Pixels with short exchanges of left and right undone, and in how many frames of a limb pair. [px]

    Parameters
    ----------
    pixels : numpy.ndarray, shape (n_frames, n_joints, 2)
        NaN where lost.
    """
    mended, count = pixels, 0
    clear = CLEAR * _spread(pixels[:: max(len(pixels) // SOME, 1)])
    for together, telling in PAIRS:
        left, right = _columns(together, names)
        one, other = _columns(telling, names)
        swapped = _exchanged(pixels[:, one] - pixels[:, other], time_s, clear)
        if swapped.any():
            mended = mended.copy() if mended is pixels else mended
            rows = np.flatnonzero(swapped)[:, None]
            mended[rows, left], mended[rows, right] = pixels[rows, right], pixels[rows, left]
            count += int(swapped.sum())
    return mended, count


def _columns(parts: tuple[str, ...], names: tuple[str, ...]) -> tuple[list[int], list[int]]:
    """Columns of the left and of the right joints that are both there."""
    known = [part for part in parts if f"left_{part}" in names and f"right_{part}" in names]
    return tuple([names.index(f"{side}_{part}") for part in known] for side in ("left", "right"))


def _spread(pixels: np.ndarray) -> float:
    """How far the points of a frame lie from their middle, on the median. [px]"""
    seen = np.isfinite(pixels).all(axis=-1)
    count = np.maximum(seen.sum(axis=1), 1)[:, None]
    flat = np.where(seen[..., None], pixels, 0.0)
    middle = flat.sum(axis=1) / count
    square = (((flat - middle[:, None]) ** 2).sum(axis=-1) * seen).sum(axis=1) / count[:, 0]
    return float(np.sqrt(np.median(square)))


def _exchanged(across: np.ndarray, time_s: np.ndarray, clear_px: float) -> np.ndarray:
    """Frames in which the vectors (n_frames, n_pairs, 2) point the wrong way."""
    swapped = np.zeros(len(across), bool)
    seen = np.isfinite(across[..., 0] + across[..., 1])
    both = seen[1:] & seen[:-1]
    x, y = (np.where(seen, across[..., axis], 0.0) for axis in (0, 1))
    size = np.sqrt(x * x + y * y)
    dot = (x[1:] * x[:-1] + y[1:] * y[:-1]).sum(axis=1)
    lengths = (size[1:] * size[:-1] * both).sum(axis=1)
    enough = lengths > clear_px**2 * np.maximum(both.sum(axis=1), 1)
    turns = np.flatnonzero((dot < TURNED * lengths) & enough) + 1
    at = 0
    while at + 1 < len(turns):
        if time_s[turns[at + 1]] - time_s[turns[at]] <= LONGEST_S:
            swapped[turns[at] : turns[at + 1]] = True
            at += 2
        else:
            at += 1
    return swapped
