"""The stick figure: limbs as lines, trunk as a quadrilateral, head with a nose, hand as a blade.

The parts are drawn from far to near. FAULT is dashed and thicker with square joints, CORRECT is solid with
round ones.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from swimsim.ground.conventions import SIDES
from swimsim.ground.records import Trace

from . import strokes
from .body_shapes import facing, hand_blade, head_axes, outline
from .colours import Colour, mix
from .figure import Ink, Shot, far_side

LINE_M = 0.025  # width of an ordinary limb line [m]
DASHED_WIDER, LIT_WIDER, FAR_THINNER = 1.30, 1.45, 0.7
DASH_PITCH = 2.7  # least length of dash and gap together, in line widths
LIMBS = {"arm": ("shoulder", "elbow", "wrist"), "leg": ("hip", "knee", "ankle")}
PALM_SHARE, TRUNK_SHARE = 0.25, 0.16


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
        pens = _Pens(shot, ink, self.lengths_m)
        parts = {f"{side}_{limb}": pens.limb(side, limb) for side in SIDES for limb in LIMBS}
        parts["trunk"] = pens.trunk()
        parts["head"] = pens.head()
        return StickDrawing(list(parts.values()), _far_to_near(shot, tuple(parts)), pens.extra())


class StickDrawing:
    """Parts of a stick figure over a stretch of frames, with their order from far to near."""

    def __init__(self, parts: list[list], order: np.ndarray, extra: list):
        self.parts, self.order, self.extra = parts, order.tolist(), extra

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame into an RGB picture, in place."""
        for part in self.order[frame]:
            for stroke in self.parts[part]:
                stroke.draw(canvas, frame)
        for stroke in self.extra:
            stroke.draw(canvas, frame)


class _Pens:
    """Turns joints of a shot into strokes."""

    def __init__(self, shot: Shot, ink: Ink, lengths_m: dict):
        self.shot, self.ink, self.lengths_m = shot, ink, lengths_m
        self.far, self.lit = far_side(shot.camera), ink.lit_bones
        self.drawn: set[frozenset[str]] = set()

    def limb(self, side: str, limb: str) -> list:
        """Bones, end piece (hand or foot) and joint dots of an arm or a leg."""
        names = [f"{side}_{n}" for n in LIMBS[limb]]
        bones = list(pairwise(names))
        tip = f"{side}_{'knuckles' if limb == 'arm' else 'toe'}"
        end_lit = self._is_lit(names[-1], tip)
        end = self._hand(side, lit=end_lit) if limb == "arm" else self._foot(side, lit=end_lit)
        self._is_lit(f"{side}_knuckles", f"{side}_fingertip")
        lit = [self._is_lit(a, b) for a, b in bones]
        lines = (
            self._bones(names, lit) if not self.ink.dashed else [s for b in bones for s in self._dashes(*b)]
        )
        return end + lines + self._joints(names, [lit[0], lit[0] or lit[1], lit[1] or end_lit])

    def trunk(self) -> list:
        """Pale quadrilateral, shoulder and hip line, spine."""
        corners = [
            f"{s}_{j}"
            for s, j in (("left", "shoulder"), ("right", "shoulder"), ("right", "hip"), ("left", "hip"))
        ]
        pixels = self._see(corners)
        colour, width = self._pen(lit=False, side=None)
        pale = mix(colour, self.ink.ground, TRUNK_SHARE)
        strokes_ = [
            strokes.Shapes(pixels[:, None], pale, zoom=self.shot.zoom),
            self._line(pixels, colour, strokes.odd(width * 0.6), closed=True),
            self._line(self._see(["thorax", "pelvis"]), mix(colour, self.ink.ground, 0.6), 1),
        ]
        across = [self._line(self._see(pair), colour, width) for pair in (corners[:2], corners[2:])]
        return strokes_ + across

    def head(self) -> list:
        """Outline of the head filled with a pale tone, neck, and a nose that shows where the face points."""
        centre, axes = head_axes(self.shot)
        middle, rim = outline(self.shot, centre, axes)
        lit = self._is_lit("neck", "head_top") or self._is_lit("neck", "nose")
        colour, width = self._pen(lit=lit, side=None)
        line = max(1.5, 0.8 * width)
        size = np.linalg.norm(rim, axis=-1, keepdims=True)
        inner = rim * np.maximum(1 - line / np.maximum(size, 1e-6), 0.2)
        nose = self.shot.see(centre[:, None] + axes[:, 1:2] * np.array([0.72, 1.42])[:, None])
        before = facing(self.shot, centre, axes[:, 1])
        zoom, pale = self.shot.zoom, mix(colour, self.ink.ground, TRUNK_SHARE)
        tick = strokes.odd(width * 0.9)
        return [
            self._line(self._see(["thorax", "neck"]), colour, strokes.odd(width * 0.8)),
            self._line(np.where(before[:, None, None], np.nan, nose), colour, tick),
            strokes.Shapes((middle[:, None] + rim)[:, None], colour, zoom=zoom),
            strokes.Shapes((middle[:, None] + inner)[:, None], pale, zoom=zoom),
            self._line(np.where(before[:, None, None], nose, np.nan), colour, tick),
        ]

    def extra(self) -> list:
        """Highlighted pairs that are no part of a limb: shoulder or hip line, a line from hand to hip."""
        pairs = list(pairwise(self.ink.limb))
        colour, width = self._pen(lit=True, side=None)
        return [
            self._line(self._see([a, b]), colour, width)
            for a, b in pairs
            if frozenset((a, b)) not in self.drawn
        ]

    def _is_lit(self, a: str, b: str) -> bool:
        self.drawn.add(frozenset((a, b)))
        return frozenset((a, b)) in self.lit

    def _see(self, names: list[str]) -> np.ndarray:
        return self.shot.joints(names)

    def _line(self, pixels: np.ndarray, colour: Colour, width: int, *, closed: bool = False) -> strokes.Lines:
        return strokes.Lines(pixels, colour, width=width, zoom=self.shot.zoom, closed=closed)

    def _pen(self, *, lit: bool, side: str | None) -> tuple[Colour, int]:
        """Colour and width of a part."""
        far = side is not None and side == self.far and not lit
        width = LINE_M * self.shot.scale * (DASHED_WIDER if self.ink.dashed else 1.0)
        width *= (LIT_WIDER if lit else 1.0) * (FAR_THINNER if far else 1.0)
        return self.ink.tone(lit=lit, far=far), strokes.odd(width)

    def _bones(self, names: list[str], lit: list[bool]) -> list:
        """One line for both bones if they look alike, else one each."""
        side = names[0].split("_")[0]
        runs = [names] if lit[0] == lit[1] else [names[:2], names[1:]]
        return [self._line(self._see(run), *self._pen(lit=lit[i], side=side)) for i, run in enumerate(runs)]

    def _dashes(self, a: str, b: str) -> list:
        colour, width = self._pen(lit=self._is_lit(a, b), side=a.split("_")[0])
        length = self.lengths_m.get((a, b), 0.0) * self.shot.scale
        count = int(np.clip(round(length / (DASH_PITCH * width)), 2, 6))
        ends = self._see([a, b])
        bars = strokes.bars(
            *strokes.dashes(ends[:, 0], ends[:, 1], count=count), max(width - 2 * strokes.EDGE_PX, 1)
        )
        return [strokes.Shapes(bars, colour, zoom=self.shot.zoom)]

    def _joints(self, names: list[str], lit: list[bool]) -> list:
        """Dots of a limb: round ones, or squares for the dashed style."""
        side, drawn = names[0].split("_")[0], []
        for tone in sorted(set(lit)):
            colour, width = self._pen(lit=tone, side=side)
            pixels = self._see([n for n, state in zip(names, lit, strict=True) if state == tone])
            size = max(0.80 * width, 1.5)
            if self.ink.dashed:
                drawn.append(strokes.Shapes(strokes.squares(pixels, size), colour, zoom=self.shot.zoom))
            else:
                drawn.append(strokes.Dots(pixels, colour, radius=size, zoom=self.shot.zoom))
        return drawn

    def _hand(self, side: str, *, lit: bool) -> list:
        """Blade filled with the full colour on the back of the hand, pale on the palm; thumb as a spike."""
        colour, width = self._pen(lit=lit, side=side)
        blade, palm = hand_blade(self.shot, side)
        pixels = self.shot.see(blade)
        to_us = facing(self.shot, self.shot.point(f"{side}_knuckles"), palm)
        pale = mix(colour, self.ink.ground, PALM_SHARE)
        fine = strokes.odd(0.4 * width)
        return [
            strokes.Shapes(
                pixels[:, None], [pale if p else colour for p in to_us.tolist()], zoom=self.shot.zoom
            ),
            self._line(pixels, colour, fine, closed=True),
            self._line(self._see([f"{side}_{n}" for n in ("wrist", "knuckles", "fingertip")]), colour, fine),
            self._line(self._see([f"{side}_wrist", f"{side}_thumb_tip"]), colour, strokes.odd(0.5 * width)),
        ]

    def _foot(self, side: str, *, lit: bool) -> list:
        colour, width = self._pen(lit=lit, side=side)
        wedge = self._see([f"{side}_{n}" for n in ("ankle", "toe", "heel")])
        return [
            strokes.Shapes(wedge[:, None], mix(colour, self.ink.ground, 0.5), zoom=self.shot.zoom),
            self._line(wedge, colour, strokes.odd(0.5 * width), closed=True),
        ]


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
