"""A second swimmer, drawn pale behind the first: same camera, same share of the stroke, hips in one place."""

from __future__ import annotations

import numpy as np

from swimsim.ground.records import Marks, Trace

from . import mirror
from .cameras import mean_speed, start_x
from .clock import Clock
from .colours import mix, theme_named
from .figure import Drawing, Ink, Shot, ink_for
from .look import Look
from .sampling import positions_at
from .stick import StickFigure

PALE = 0.55  # strength of the body behind
PALER = (0.62, 0.55)  # strength of what is beside its highlighted limb, near and far


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
        theme = theme_named(look.theme)
        ink = ink_for(self.marks, theme)
        pale = mix(ink.colour, theme.water, PALE)
        self.ink = Ink(pale, theme.water, ink.dashed, ink.limb, PALER)
        self.figure = StickFigure(self.trace)

    @property
    def words(self) -> str:
        """What the pale body is, in words."""
        return f"pale: {self.marks.word}" if self.marks.word else "pale: second swimmer"

    def plan(self, shot: Shot, first: int, last: int) -> Drawing:
        """A stretch of frames, moved along the lane so that both swimmers have come equally far.

        `shot` is that of the swimmer in front.
        """
        own, front = self.clock.part(first, last), self.front[1].part(first, last)
        points = positions_at(self.trace, own.times_s)
        points[..., 0] += (_place(self.front[0], front) - _place(self.trace, Clock(own.times_s)))[:, None]
        names = self.trace.joint_names
        return self.figure.plan(Shot(shot.camera, points, names, shot.shift_m, shot.zoom), self.ink)


def _place(trace: Trace, clock: Clock) -> np.ndarray:
    """Where along the lane a swimmer of that mean speed is at each picture. [m]"""
    place = start_x(trace) + mean_speed(trace) * clock.times_s
    return place if clock.drift_m is None else place + clock.drift_m
