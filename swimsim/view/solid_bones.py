"""The bone line of a highlighted chain over the solid figure: the second sign beside the colour."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from . import strokes
from .figure import Ink, Shot

LINE_M, LEAST_PX, DASHED_WIDER = 0.016, 1.4, 1.25
DASH_M = 0.075  # least length of a dash and its gap [m]
DOT_M = 0.034  # of a dot and its gap, in a dotted line [m]
DOT_SHARE = 1.15  # half size of a joint, in line widths
CASING = 2.1  # width of the casing of a line that is no limb, in line widths


def bone_line(shot: Shot, ink: Ink, scale: float) -> list[strokes.Shapes]:
    """Lines and joints of the highlighted chain, pale on the coloured limb.

    A pair that spans the trunk (shoulder line, hip line) is drawn in the panel's colour with a pale casing.
    """
    if not ink.limb:
        return []
    width = max(LINE_M * scale * shot.scale, LEAST_PX) * (DASHED_WIDER if ink.dashed else 1.0)
    pale, dark = ink.theme.page, ink.colour
    lines, dots, under = strokes.Pile(), strokes.Pile(), strokes.Pile()
    for a, b in pairwise(ink.limb):
        ends = shot.joints([a, b])
        across = a.split("_")[0] != b.split("_")[0]
        colour = dark if across else pale
        if across:
            under.add(strokes.bars(ends[:, :1], ends[:, 1:], CASING * width, zoom=shot.zoom), pale)
        lines.add(_line(shot, ends, width * (1.3 if across else 1.0), ink=ink, names=(a, b)), colour)
    shape = strokes.squares if ink.dashed else strokes.discs
    for name in ink.limb:
        if name.endswith(("fingertip", "knuckles")):
            continue
        dots.add(shape(shot.joints([name]), max(DOT_SHARE * width, 1.6), zoom=shot.zoom), pale)
        dots.add(shape(shot.joints([name]), max(0.55 * DOT_SHARE * width, 0.9), zoom=shot.zoom), dark)
    return [*under.shapes(shot.zoom), *lines.shapes(shot.zoom), *dots.shapes(shot.zoom)]


def _line(shot: Shot, ends: np.ndarray, width: float, *, ink: Ink, names) -> np.ndarray:
    """One bar, or dashes or dots: as many as fit into the true length of the bone."""
    if not (ink.dashed or ink.dotted):
        return strokes.bars(ends[:, :1], ends[:, 1:], width, zoom=shot.zoom)
    a, b = (shot.point(n) for n in names)
    length = np.linalg.norm(a - b, axis=-1)
    known = length[np.isfinite(length)]
    pitch, most, share = (DASH_M, 6, 0.62) if ink.dashed else (DOT_M, 14, 0.5)
    count = int(np.clip(round(float(np.median(known)) / pitch), 1, most)) if len(known) else 1
    low, high = strokes.dashes(ends[:, 0], ends[:, 1], count=count, share=share)
    return strokes.bars(low, high, width, zoom=shot.zoom)
