"""The stick figure: limbs as lines, trunk as a quadrilateral, head with a nose, hand as a blade.

The parts are drawn from far to near. FAULT is dashed and thicker with square joints, CORRECT is solid with
round ones, DRILL dotted in the plain colour: its own would be too faint for thin lines on light water.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from swimsim.ground.conventions import SIDES
from swimsim.ground.records import Trace

from . import strokes
from .body_shapes import facing, hand_blade, head_axes, outline
from .colours import Colour, mix
from .equipment import kit_lines
from .figure import Ink, Shot, far_side

LINE_M = 0.025  # width of an ordinary limb line [m]
DASHED_WIDER, LIT_WIDER, FAR_THINNER = 1.30, 1.45, 0.7
NOSE = np.array([0.72, 1.42])  # from and to, along the face axis, in half depths of the head
#: Lines of the hand, so that it shows edge-on: from, to, width as a share of the limb line.
HAND_BARS = (("wrist", "knuckles", 0.8), ("knuckles", "fingertip", 0.5), ("wrist", "thumb_tip", 0.5))
LEAST_PX = 1.5  # thinnest limb line [px]
DASH_PITCH = 2.7  # least length of dash and gap together, in line widths
DOT_PITCH = 1.6  # the same of a dotted line
LIMBS = {"arm": ("shoulder", "elbow", "wrist"), "leg": ("hip", "knee", "ankle")}
PALM_SHARE = 0.66  # size of the pale field of the palm within the hand
PALE_SHARE, TRUNK_SHARE = 0.2, 0.16


class StickFigure:
    """Draws a body as sticks; `lengths_m` of the bones fix how many dashes each one gets."""

    def __init__(self, trace: Trace):
        self.lengths_m = {}
        for side in SIDES:
            for chain in LIMBS.values():
                for a, b in pairwise(chain):
                    span = np.linalg.norm(trace.joint(f"{side}_{a}") - trace.joint(f"{side}_{b}"), axis=1)
                    span = span[np.isfinite(span)]
                    self.lengths_m[f"{side}_{a}", f"{side}_{b}"] = (
                        float(np.median(span)) if len(span) else 0.0
                    )

    def plan(self, shot: Shot, ink: Ink) -> StickDrawing:
        """Prepare a stretch of frames of one view."""
        ink = replace(ink, colour=ink.theme.plain) if ink.dotted else ink
        pens = _Pens(shot, ink, self.lengths_m)
        parts = {f"{side}_{limb}": pens.limb(side, limb) for side in SIDES for limb in LIMBS}
        parts["trunk"] = pens.trunk()
        parts["head"] = pens.head()
        extra = [*pens.extra(), *kit_lines(shot, ink)]
        return StickDrawing(list(parts.values()), _far_to_near(shot, tuple(parts)), extra)


class StickDrawing:
    """Parts of a stick figure over a stretch of frames, with their order from far to near."""

    def __init__(self, parts: list[list[strokes.Shapes]], order: np.ndarray, extra: list[strokes.Shapes]):
        self.parts, self.order, self.extra = parts, order.tolist(), extra

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame into an RGB picture, in place."""
        for part in self.order[frame]:
            for shapes in self.parts[part]:
                shapes.draw(canvas, frame)
        for shapes in self.extra:
            shapes.draw(canvas, frame)


class _Pens:
    """Turns joints of a shot into filled shapes."""

    def __init__(self, shot: Shot, ink: Ink, lengths_m: dict):
        self.shot, self.ink, self.lengths_m, self.zoom = shot, ink, lengths_m, shot.zoom
        self.far, self.lit = far_side(shot.camera), ink.lit_bones
        self.drawn: set[frozenset[str]] = set()

    def limb(self, side: str, limb: str) -> list[strokes.Shapes]:
        """Bones, end piece (hand or foot) and joint dots of an arm or a leg."""
        names = [f"{side}_{n}" for n in LIMBS[limb]]
        bones = list(pairwise(names))
        self._is_lit(f"{side}_knuckles", f"{side}_fingertip")
        end_lit = self._is_lit(names[-1], f"{side}_{'knuckles' if limb == 'arm' else 'toe'}")
        lit = [self._is_lit(a, b) for a, b in bones]
        bars, dots = strokes.Pile(), strokes.Pile()
        end = self._hand(side, bars, lit=end_lit) if limb == "arm" else self._foot(side, bars, lit=end_lit)
        for bone in bones:
            self._bone(*bone, bars)
        squares = bars if self.ink.dashed else dots
        for name, bright in zip(names, (lit[0], lit[0] or lit[1], lit[1] or end_lit), strict=True):
            self._joint(name, squares, lit=bright)
        return end + bars.shapes(self.zoom) + dots.shapes(self.zoom)

    def trunk(self) -> list[strokes.Shapes]:
        """Pale quadrilateral, its sides, shoulder and hip line, spine."""
        corners = self._see(["left_shoulder", "right_shoulder", "right_hip", "left_hip"])
        colour, width = self._pen(lit=False, side=None)
        bars = strokes.Pile()
        bars.add(corners[:, None], mix(colour, self.ink.ground, TRUNK_SHARE))
        spine = self._see(["thorax", "pelvis"])
        bars.add(self._bars(spine, max(0.3 * width, 1.2)), mix(colour, self.ink.ground, 0.6))
        for pair, share in (([0, 3], 0.6), ([1, 2], 0.6), ([0, 1], 1.0), ([2, 3], 1.0)):
            bars.add(self._bars(corners[:, pair], share * width), colour)
        return bars.shapes(self.zoom)

    def head(self) -> list[strokes.Shapes]:
        """Outline of the head filled with a pale tone, neck, and a nose that shows where the face points."""
        centre, axes = head_axes(self.shot)
        middle, rim = outline(self.shot, centre, axes)
        lit = self._is_lit("neck", "head_top") or self._is_lit("neck", "nose")
        colour, width = self._pen(lit=lit, side=None)
        line = max(1.5, 0.8 * width)
        size = np.linalg.norm(rim, axis=-1, keepdims=True)
        inner = rim * np.maximum(1 - line / np.maximum(size, 1e-6), 0.2)
        nose = self._bars(self.shot.see(centre[:, None] + axes[:, 1:2] * NOSE[:, None]), 0.9 * width)
        to_us = facing(self.shot, centre, axes[:, 1])[:, None, None, None]
        behind, ball = strokes.Pile(), strokes.Pile()
        behind.add(self._bars(self._see(["thorax", "neck"]), 0.8 * width), colour)
        behind.add(np.where(to_us, np.nan, nose), colour)
        ball.add((middle[:, None] + rim)[:, None], colour)
        ball.add((middle[:, None] + inner)[:, None], mix(colour, self.ink.ground, TRUNK_SHARE))
        before = strokes.Shapes(np.where(to_us, nose, np.nan), colour, zoom=self.zoom)
        return [*behind.shapes(self.zoom), *ball.shapes(self.zoom), before]

    def extra(self) -> list[strokes.Shapes]:
        """Highlighted pairs that are no part of a limb: shoulder or hip line, a line from hand to hip."""
        colour, width = self._pen(lit=True, side=None)
        bars = strokes.Pile()
        for pair in pairwise(self.ink.limb):
            if frozenset(pair) not in self.drawn:
                bars.add(self._bars(self._see(pair), width), colour)
        return bars.shapes(self.zoom)

    def _is_lit(self, a: str, b: str) -> bool:
        self.drawn.add(frozenset((a, b)))
        return frozenset((a, b)) in self.lit

    def _see(self, names: Sequence[str]) -> np.ndarray:
        return self.shot.joints(names)

    def _bars(self, chain: np.ndarray, width: float) -> np.ndarray:
        return strokes.bars(chain[:, :-1], chain[:, 1:], width, zoom=self.zoom)

    def _pen(self, *, lit: bool, side: str | None) -> tuple[Colour, float]:
        """Colour and width of a part."""
        far = side is not None and side == self.far and not lit
        width = LINE_M * self.shot.scale * (DASHED_WIDER if self.ink.dashed else 1.0)
        width *= (LIT_WIDER if lit else 1.0) * (FAR_THINNER if far else 1.0)
        return self.ink.tone(lit=lit, far=far), max(width, LEAST_PX)

    def _bone(self, a: str, b: str, bars: strokes.Pile) -> None:
        """A bone as one bar, or as dashes."""
        colour, width = self._pen(lit=self._is_lit(a, b), side=a.split("_")[0])
        ends = self._see([a, b])
        if self.ink.dashed or self.ink.dotted:
            length = self.lengths_m.get((a, b), 0.0) * self.shot.scale
            pitch, most = (DASH_PITCH, 6) if self.ink.dashed else (DOT_PITCH, 14)
            count = int(np.clip(round(length / (pitch * width)), 2, most))
            low, high = strokes.dashes(ends[:, 0], ends[:, 1], count=count)
            bars.add(strokes.bars(low, high, width, zoom=self.zoom), colour)
        else:
            bars.add(self._bars(ends, width), colour)

    def _joint(self, name: str, dots: strokes.Pile, *, lit: bool) -> None:
        """A joint: a round dot, or a square for the dashed style."""
        colour, width = self._pen(lit=lit, side=name.split("_")[0])
        shape = strokes.squares if self.ink.dashed else strokes.discs
        dots.add(shape(self._see([name]), max(0.80 * width, 1.5), zoom=self.zoom), colour)

    def _hand(self, side: str, bars: strokes.Pile, *, lit: bool) -> list[strokes.Shapes]:
        """Blade in the full colour with a pale field on the palm; thumb as a spike."""
        colour, width = self._pen(lit=lit, side=side)
        blade, palm = hand_blade(self.shot, side)
        pixels = self.shot.see(blade)
        to_us = facing(self.shot, self.shot.point(f"{side}_knuckles"), palm)
        middle = pixels.mean(axis=1, keepdims=True)
        inner = np.where(to_us[:, None, None], middle + PALM_SHARE * (pixels - middle), np.nan)
        hand = strokes.Pile()
        hand.add(pixels[:, None], colour)
        hand.add(inner[:, None], mix(colour, self.ink.ground, PALE_SHARE))
        for start, end, share in HAND_BARS:
            bars.add(self._bars(self._see([f"{side}_{start}", f"{side}_{end}"]), share * width), colour)
        return hand.shapes(self.zoom)

    def _foot(self, side: str, bars: strokes.Pile, *, lit: bool) -> list[strokes.Shapes]:
        """Wedge of ankle, toe and heel, and a line to the toe."""
        colour, width = self._pen(lit=lit, side=side)
        wedge = self._see([f"{side}_{n}" for n in ("ankle", "toe", "heel")])
        bars.add(self._bars(wedge[:, :2], 0.6 * width), colour)
        return [strokes.Shapes(wedge[:, None], mix(colour, self.ink.ground, 0.7), zoom=self.zoom)]


def _far_to_near(shot: Shot, parts: tuple[str, ...]) -> np.ndarray:
    """Order of the parts in each frame, shape (n_frames, n_parts); parts without a position come first."""
    joints = {"arm": ("elbow", "wrist"), "leg": ("knee", "ankle")}
    depths = []
    for part in parts:
        side, _, limb = part.partition("_")
        names = (
            [f"{side}_{n}" for n in joints[limb]]
            if limb
            else {"trunk": ["thorax", "pelvis"], "head": ["neck", "head_top"]}[part]
        )
        depths.append(shot.depth(np.stack([shot.point(n) for n in names], axis=1)).mean(axis=1))
    return np.argsort(-np.nan_to_num(np.stack(depths, axis=1), nan=1e9), axis=1, kind="stable")
