"""What a drawing style must offer, and what it is given. Cameras, layout and writers know no style.

A style is an object with `plan(shot, ink)`: it prepares a stretch of frames of one view at once (in numpy)
and returns a drawing, whose `draw(canvas, frame)` puts one frame of the body into a picture.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Protocol

import numpy as np

from swimsim.ground.records import Camera, Marks

from .colours import THEMES, Colour, Theme, mix
from .refraction import see

FAR_SHARE = 0.66  # strength of the limbs of the far side, where nothing is highlighted
LATERAL = 0.5  # a camera is beside the body when this share of its distance is sideways


@dataclass(frozen=True)
class Shot:
    """A stretch of frames of one body from one camera.

    Parameters
    ----------
    camera : Camera
    points_m : numpy.ndarray, shape (n_frames, n_joints, 3)
        World positions. [m]
    names : tuple of str
    shift_m : numpy.ndarray, shape (n_frames,)
        Travel of the camera along x. [m]
    zoom : int
        Enlargement of the picture; everything drawn grows alike.
    """

    camera: Camera
    points_m: np.ndarray
    names: tuple[str, ...]
    shift_m: np.ndarray
    zoom: int = 1

    def point(self, name: str) -> np.ndarray:
        """World position of a joint, shape (n_frames, 3); NaN if the body has none of that name. [m]"""
        if name in self.names:
            return self.points_m[:, self.names.index(name)]
        return np.full((len(self.points_m), 3), np.nan)

    def see(self, points_m: np.ndarray) -> np.ndarray:
        """Pixels of points of shape (n_frames, ..., 3), unzoomed. [px]"""
        return see(self.camera, points_m, self.shift_m)

    @cached_property
    def pixels(self) -> np.ndarray:
        """Pixels of all joints, shape (n_frames, n_joints, 2), unzoomed. [px]"""
        return self.see(self.points_m)

    def joints(self, names: Sequence[str]) -> np.ndarray:
        """Pixels of some joints, shape (n_frames, n_names, 2); NaN for those the body does not have. [px]"""
        known = [self.names.index(n) if n in self.names else -1 for n in names]
        found = self.pixels[:, known]
        if -1 in known:
            found[:, [i for i, k in enumerate(known) if k < 0]] = np.nan
        return found

    def depth(self, points_m: np.ndarray) -> np.ndarray:
        """Distance along the lens axis of points (n_frames, m, 3). [m]"""
        relative = points_m - self.camera.position_m
        relative[..., 0] -= self.shift_m[:, None]
        return relative @ self.camera.rotation[2]

    @property
    def scale(self) -> float:
        """Pixels per metre in the middle of the body. [px/m]"""
        return pixels_per_metre(self.camera)


def pixels_per_metre(camera: Camera, point_m=(0.2, 0.0, -0.1)) -> float:
    """Pixels per metre across the view at a world point. [px/m]"""
    depth = camera.rotation[2] @ (np.asarray(point_m) - camera.position_m)
    return camera.focal_px[0] / max(float(depth), 0.1)


def far_side(camera: Camera) -> str | None:
    """The side of the body turned away from the camera, or None if the camera is not beside the body."""
    sideways = -camera.rotation[2, 1]
    return None if abs(sideways) < LATERAL else ("right" if sideways > 0 else "left")


@dataclass(frozen=True)
class Ink:
    """Pens of one panel: colours by strength, stroke style, highlighted joints.

    `dim` is the strength beside a highlighted limb, on the near and the far side; `kit` names what the swimmer
    wears or holds.
    """

    colour: Colour
    ground: Colour
    dashed: bool = False
    dotted: bool = False
    limb: tuple[str, ...] = ()
    kit: tuple[str, ...] = ()
    dim: tuple[float, float] = (1.0, FAR_SHARE)
    theme: Theme = THEMES["light"]

    def tone(self, *, lit: bool, far: bool) -> Colour:
        """Colour of a part: full when lit, else dimmed beside a highlighted limb and paler when far."""
        near_far = self.dim if self.limb else (1.0, FAR_SHARE)
        share = 1.0 if lit else near_far[far]
        return mix(self.colour, self.ground, share)

    @property
    def lit_bones(self) -> set[frozenset[str]]:
        """Pairs of neighbouring joints of the highlighted chain."""
        return {frozenset(pair) for pair in pairwise(self.limb)}


def ink_for(marks: Marks, theme: Theme) -> Ink:
    """Pens for a panel: colour by word, dashes by style."""
    colour = (theme.strip(marks.word) or (theme.fault if marks.style == "dashed" else theme.plain,))[0]
    return Ink(
        colour,
        theme.water,
        dashed=marks.style == "dashed",
        dotted=marks.style == "dotted",
        limb=tuple(marks.limb),
        kit=tuple(marks.kit),
        dim=(theme.dim, theme.dim_far),
        theme=theme,
    )


class Drawing(Protocol):
    """A stretch of frames ready to draw."""

    def draw(self, canvas: np.ndarray, frame: int) -> None:
        """Draw one frame into an RGB picture (height, width, 3), in place."""


class Figure(Protocol):
    """A drawing style of the body."""

    def plan(self, shot: Shot, ink: Ink) -> Drawing:
        """Prepare a stretch of frames."""
