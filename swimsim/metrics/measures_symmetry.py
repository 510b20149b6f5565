"""Left against right: time from one entry to the other, and the symmetry index of what is paired."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..ground.conventions import SIDES, other_side
from ..ground.tables import read_toml
from .readout import Readout, mean
from .strokes import Strokes

_FAR = 1.2  # an entry of the other hand later than this many cycles belongs to another stroke
NOT_POSITIVE = "the two sides are not both positive"


def spacings(strokes: Strokes) -> list[Readout]:
    """From each entry of a hand to the next entry of the other hand. [% of the hand's own cycle]"""
    readouts = []
    for side in SIDES:
        arm, other = strokes.cycles[side], strokes.arms[other_side(side)].entry
        later = np.append(np.sort(other[np.isfinite(other)]), np.nan)
        follows = later[np.searchsorted(later[:-1], np.nan_to_num(arm.entry, nan=np.inf), side="right")]
        share = 100 * (follows - arm.entry) / arm.time_s
        joints = tuple(
            f"{s}_{j}" for s in (side, other_side(side)) for j in ("fingertip", "knuckles", "wrist")
        )
        times = np.stack([arm.entry, follows], axis=1)
        readouts.append(
            Readout("entry_spacing", side, np.where(share < 100 * _FAR, share, np.nan), joints, times)
        )
    return readouts


def indices(readouts: Sequence[Readout]) -> list[Readout]:
    """Symmetry index of every measure that has one: (R - L) / (R + L) * 2 * 100 of the means over all cycles. [%]

    Sanders et al. 2012, J Swim Res 19:1; positive where the right side is larger.
    """
    known = {(readout.measure, readout.side): readout for readout in readouts}
    found = []
    for name, row in read_toml("definitions")["measure"].items():
        pair = [known.get((row.get("pair"), side)) for side in SIDES]
        if None not in pair:
            found.append(_index(name, *pair))
    return found


def _index(name: str, left: Readout, right: Readout) -> Readout:
    """One value that belongs to no cycle."""
    joints = tuple(dict.fromkeys((*left.joints, *right.joints)))
    low, high = (one.overall if one.overall is not None else mean(one.values)[0] for one in (left, right))
    reason = left.reason or right.reason
    if np.isfinite(low) and np.isfinite(high) and min(low, high) <= 0:
        low, reason = np.nan, NOT_POSITIVE
    value = (high - low) / (high + low) * 2 * 100
    return Readout(name, None, np.array([value]), joints, number=np.array([], int), reason=reason)
