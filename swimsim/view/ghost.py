"""A second swimmer, drawn pale behind the first: same camera, same share of the stroke, hips in one place.

Its highlighted limb is drawn once more as a line over both bodies, so that the two limbs can be compared.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from swimsim.ground.records import Marks, Trace

from . import mirror, strokes
from .cameras import mean_speed, start_x
from .clock import Clock
from .colours import theme_named
from .figure import Drawing, Shot, ink_for
from .look import Look, figure_for
from .sampling import positions_at

FAINT = 0.42  # strength of the body behind
LIMB_M, LIMB_LEAST_PX = 0.022, 2.0  # width of the line along its highlighted limb
CASING = 1.9  # width of the pale edge of that line, against its own


class Ghost:
    """Plans the swimmer behind.

    Parameters
    ----------
    front : (Trace, Clock)
        The swimmer in front.
    behind : ((Trace, Marks), Clock)
        The swimmer behind, at the instants of its own trace.
    look : Look
    """

    def __init__(
        self, front: tuple[Trace, Clock], behind: tuple[tuple[Trace, Marks], Clock], *, look: Look
    ):  # fmt: skip
        panel, self.clock = behind
        self.trace, self.marks = mirror.mirrored_panel(*panel) if look.mirror else panel
        self.front = front
        self.theme = theme_named(look.theme)
        self.ink = replace(ink_for(self.marks, self.theme), dim=(FAINT, FAINT), limb=("nobody",))
        self.figure = figure_for(look, self.trace)

    def plan(self, shot: Shot, first: int, last: int) -> tuple[Drawing, list[strokes.Shapes]]:
        """A stretch of frames: the body to draw before the swimmer in front, and its limb to draw after.

        It is moved along the lane so that both swimmers have come equally far. `shot` is that of the swimmer in
        front.
        """
        own, front = self.clock.part(first, last), self.front[1].part(first, last)
        points = positions_at(self.trace, own.times_s)
        points[..., 0] += (_place(self.front[0], front) - _place(self.trace, Clock(own.times_s)))[:, None]
        behind = Shot(shot.camera, points, self.trace.joint_names, shot.shift_m, shot.zoom)
        return self.figure.plan(behind, self.ink), self._limb(behind)

    def _limb(self, shot: Shot) -> list[strokes.Shapes]:
        """Its highlighted limb as a solid line with a pale edge, so that it is seen over the other body too."""
        if len(self.marks.limb) < 2:
            return []
        width = max(LIMB_M * shot.scale, LIMB_LEAST_PX)
        chain, how = shot.joints(self.marks.limb), {"zoom": shot.zoom}
        lines = []
        for thick, colour in ((CASING * width, self.theme.page), (width, self.ink.colour)):
            lines.append(strokes.sticks(chain, colour, width=thick, **how))
            lines.append(strokes.Shapes(strokes.discs(chain, 0.85 * thick, **how), colour, **how))
        return lines


def _place(trace: Trace, clock: Clock) -> np.ndarray:
    """Where along the lane a swimmer of that mean speed is at each picture. [m]"""
    place = start_x(trace) + mean_speed(trace) * clock.times_s
    return place if clock.drift_m is None else place + clock.drift_m
