"""Strips of arms, hands and legs: where they are, how they move, how much of each is under water."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from ..ground.conventions import JOINT_INDEX, SIDES, side_sign
from ..ground.tables import read_toml
from ..swimmer.anthropometry import Body
from .buoyancy import share_under
from .float_parts import LIMBS, float_parts
from .path import StrokePath

STRIPS = 8  # per limb part
HAND_STRIPS = 4
#: Half the height over which a hand strip dips in: about half the breadth of a hand. [m]
HAND_HALF_M = 0.04
ARM_PARTS = ("upper_arm", "forearm")
LEG_PARTS = ("thigh", "shank", "foot")


@dataclass(frozen=True)
class Strips:
    """Strips of one kind of limb, both sides; vectors along the first axis.

    Parameters
    ----------
    at_m, slope_m : numpy.ndarray, shape (3, s, n)
        Middle of every strip, x from the mid-hip; its derivative by cycle share. [m], [m/cycle]
    way : numpy.ndarray, shape (3, s, n)
        Unit vector along the limb; of a hand, square to its plane.
    thumb_way : numpy.ndarray or None
        Of a hand: in its plane, towards the thumb.
    area_m2 : numpy.ndarray, shape (s,)
        Area across the flow: breadth times length; of a hand its share of the planform. [m2]
    under : numpy.ndarray, shape (s, n)
        Share under water.
    left : numpy.ndarray of bool, shape (s,)
    """

    at_m: np.ndarray
    slope_m: np.ndarray
    way: np.ndarray
    area_m2: np.ndarray
    under: np.ndarray
    left: np.ndarray
    thumb_way: np.ndarray | None = None

    def at(self, frames) -> Strips:
        """The same at some of the frames."""
        cut = {name: getattr(self, name)[..., frames] for name in ("at_m", "slope_m", "way", "under")}
        thumb = None if self.thumb_way is None else self.thumb_way[..., frames]
        return dataclasses.replace(self, **cut, thumb_way=thumb)


def hand_area(body: Body) -> float:
    """Planform area of one hand: with stature squared. [m2]

    Notes
    -----
    0.0150 m2 for men of 1.80 m, 0.0120 m2 for women of 1.68 m [memory]; `shared/water.toml`.
    """
    hand = read_toml("water")["hand"]
    return hand["area_m2"][body.sex] * (body.stature_m / hand["reference_stature_m"][body.sex]) ** 2


def hand_strips(path: StrokePath, *, strips: int = HAND_STRIPS) -> Strips:
    """Strips of both hands from wrist to fingertip, of equal area."""
    share = ((np.arange(strips) + 0.5) / strips)[:, None, None]
    places, slopes, normals, thumbs = [], [], [], []
    for side in SIDES:
        wrist, finger, knuckles, thumb = (
            _columns(path.joints_m, f"{side}_{name}")
            for name in ("wrist", "fingertip", "knuckles", "thumb_tip")
        )
        slope_wrist, slope_finger = (
            _columns(path.slopes_m, f"{side}_{name}") for name in ("wrist", "fingertip")
        )
        along = _unit(knuckles - wrist)
        thumbward = (thumb - wrist) - ((thumb - wrist) * along).sum(axis=0) * along
        thumbward = _unit(thumbward)
        normal = side_sign(side) * np.cross(along, thumbward, axis=0)
        places.append(wrist[None] + share * (finger - wrist)[None])
        slopes.append(slope_wrist[None] + share * (slope_finger - slope_wrist)[None])
        normals.append(np.repeat(normal[None], strips, axis=0))
        thumbs.append(np.repeat(thumbward[None], strips, axis=0))
    at, slope, normal, thumb = (np.concatenate(v).swapaxes(0, 1) for v in (places, slopes, normals, thumbs))
    area = np.full(2 * strips, hand_area(path.body) / strips)
    under = share_under(-at[2], np.full_like(at[2], HAND_HALF_M))
    return Strips(at, slope, normal, area, under, np.arange(2 * strips) < strips, thumb)


def limb_strips(path: StrokePath, parts: tuple[str, ...], *, strips: int = STRIPS) -> Strips:
    """Strips of some limb parts of both sides, as broad as the body table's mass, density and length make them."""
    table = float_parts(path.body, strips=strips)
    names = [f"{side}_{part}" for side in SIDES for part in parts]
    own = np.array([table.names.index(name) for name in names])
    weights = table.strip_weights(own)
    breadth = 2 * table.half_depth_m[own] * table.breadth_over_depth[own, None]
    area = breadth * (table.length_m[own] / strips)[:, None]
    for i, name in enumerate(names):
        if name.endswith("foot"):
            area[i] = foot_area(path.body) / strips
    at, slope = (np.einsum("sj,njc->csn", weights, v, optimize=True) for v in (path.joints_m, path.slopes_m))
    way = np.stack([_way(path, name) for name in names])  # (p, 3, n)
    way = np.repeat(way, strips, axis=0).swapaxes(0, 1)
    round_half = np.sqrt(table.half_depth_m[own] * breadth / 2).reshape(-1, 1)
    under = share_under(-at[2], np.broadcast_to(round_half, at[2].shape))
    left = np.repeat([name.startswith("left") for name in names], strips)
    return Strips(at, slope, way, area.ravel(), under, left)


def toe_ends(path: StrokePath) -> Strips:
    """The ends of both feet, where the kick leaves moving water behind: one strip a side.

    `area_m2` is twice pi times the square of half a foot's breadth: with half the density it is the added mass per
    metre of a plate as broad as the foot.
    """
    at, slope = (
        np.stack([_columns(v, f"{side}_toe") for side in SIDES], axis=1)
        for v in (path.joints_m, path.slopes_m)
    )
    way = np.stack([_way(path, f"{side}_foot") for side in SIDES], axis=1)
    half = foot_area(path.body) / path.body.foot_m / 2
    under = share_under(-at[2], np.full_like(at[2], HAND_HALF_M))
    return Strips(at, slope, way, np.full(2, 2 * np.pi * half**2), under, np.array([True, False]))


def foot_area(body: Body) -> float:
    """Area of the top of one foot: length times breadth, 0.362 of the length (Winter 2005) [memory]. [m2]"""
    return read_toml("water")["leg"]["foot_breadth_over_length"] * body.foot_m**2


def _columns(values: np.ndarray, joint: str) -> np.ndarray:
    """One joint's vectors along the first axis, shape (3, n)."""
    return values[:, JOINT_INDEX[joint]].T


def _unit(vectors: np.ndarray) -> np.ndarray:
    return vectors / np.sqrt((vectors * vectors).sum(axis=0))


def _way(path: StrokePath, name: str) -> np.ndarray:
    """Unit vector along a limb part, shape (3, n)."""
    side, _, part = name.partition("_")
    first, second = (_columns(path.joints_m, f"{side}_{joint}") for joint in LIMBS[part])
    return _unit(second - first)
