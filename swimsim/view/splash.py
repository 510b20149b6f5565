"""Splash and bubbles where hands enter: an option of the picture, off by default.

Drops fly up from where the fingertip goes through the surface and fall under gravity; bubbles come off the hand
for a fifth of a second and rise. Sizes, counts and lives are ours, made to look at: nothing is measured on them.
The same trace gives the same drops.
"""

from __future__ import annotations

import numpy as np

from swimsim.ground.conventions import SIDES
from swimsim.ground.records import Trace

from . import strokes
from .colours import Theme, mix
from .figure import Shot
from .sampling import hermite

DROPS, BUBBLES = 16, 18  # for each entry
GRAVITY, RISE = 9.81, 0.28  # [m/s2], [m/s]
SHED_S, BUBBLE_LIFE_S, DROP_LIFE_S = 0.20, 0.55, 0.40
DROP_SPEED = (0.5, 1.7)  # upward [m/s]
DROP_SPREAD = 0.55  # sideways standard deviation [m/s]
DROP_R, BUBBLE_R = (0.006, 0.012), (0.006, 0.015)  # [m]


class Splash:
    """Drops and bubbles of every hand entry of a trace."""

    def __init__(self, trace: Trace):
        entries = [(t, side) for side in SIDES for t in _entries(trace, side)]
        random = np.random.default_rng(len(trace.time_s))
        start, place, speed, life, size = [], [], [], [], []
        for at, side in sorted(entries):
            tip = trace.joint(f"{side}_fingertip")
            where = hermite(trace.time_s, tip, np.array([at]))
            start += [np.full(DROPS, at)]
            place += [np.repeat(where, DROPS, axis=0)]
            up = random.uniform(*DROP_SPEED, DROPS)
            speed += [np.column_stack([random.normal(0.3, DROP_SPREAD, (DROPS, 2)), up])]
            life += [np.full(DROPS, DROP_LIFE_S)]
            size += [random.uniform(*DROP_R, DROPS)]
            shed = np.sort(at + random.uniform(0, SHED_S, BUBBLES))
            start += [shed]
            place += [hermite(trace.time_s, tip, shed) + random.normal(0, 0.03, (BUBBLES, 3))]
            speed += [np.tile([0.0, 0.0, RISE], (BUBBLES, 1))]
            life += [random.uniform(0.5, 1.0, BUBBLES) * BUBBLE_LIFE_S]
            size += [random.uniform(*BUBBLE_R, BUBBLES)]
        empty = np.empty((0, 3))
        self.start, self.life, self.size = (np.concatenate([*a, []]) for a in (start, life, size))
        self.place, self.speed = (np.concatenate([*a, empty]) for a in (place, speed))
        self.falls = np.tile(np.repeat([True, False], [DROPS, BUBBLES]), len(entries))

    def positions(self, times_s: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Where each drop and bubble is, (n_frames, m, 3), NaN before and after its life, and which m. [m]"""
        near = (self.start <= times_s[-1]) & (self.start + self.life >= times_s[0])
        which = np.flatnonzero(near)
        age = times_s[:, None] - self.start[which]
        moved = self.place[which] + self.speed[which] * age[..., None]
        moved[..., 2] -= 0.5 * GRAVITY * self.falls[which] * age**2
        alive = (age >= 0) & (age <= self.life[which])
        alive &= np.where(self.falls[which], moved[..., 2] > -0.005, moved[..., 2] < 0.0)
        return np.where(alive[..., None], moved, np.nan), which

    def plan(self, shot: Shot, times_s: np.ndarray, theme: Theme) -> strokes.Shapes | None:
        """Prepare a stretch of frames; None if nothing splashes in it."""
        where, which = self.positions(np.asarray(times_s, float))
        if not len(which):
            return None
        pixels = shot.see(where)
        outer, inner = [], []
        for i, radius in enumerate(self.size[which] * shot.scale):
            outer.append(strokes.discs(pixels[:, i : i + 1], max(radius, 1.2), zoom=shot.zoom))
            inner.append(strokes.discs(pixels[:, i : i + 1], max(0.62 * radius, 0.7), zoom=shot.zoom))
        pile = strokes.Pile()
        pile.add(np.concatenate(outer, axis=1), mix(theme.surface, theme.water, 0.7))
        pile.add(np.concatenate(inner, axis=1), theme.gleam)
        return pile.shapes(shot.zoom)[0]


def _entries(trace: Trace, side: str) -> np.ndarray:
    """Times at which a fingertip goes down through the still surface. [s]"""
    z, t = trace.joint(f"{side}_fingertip")[:, 2], trace.time_s
    with np.errstate(invalid="ignore"):
        at = np.flatnonzero((z[:-1] > 0) & (z[1:] <= 0))
    return t[at] + (t[at + 1] - t[at]) * z[at] / (z[at] - z[at + 1])
