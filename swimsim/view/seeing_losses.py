"""What is lost of exact points: noise, gaps, points behind the body or in splash, left and right exchanged.

Everything runs over all frames and joints at once. Whatever lasts (wandering noise, gaps, exchanges) comes from a
first-order autoregressive series with unit variance; a gap is where the series is above the level that leaves the
wanted share.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from swimsim.ground.conventions import SIDES
from swimsim.ground.records import Camera

TRUNK_RADIUS_M, HEAD_RADIUS_M = 0.12, 0.10  # of what hides points behind it (choice of ours)
SURFACE_M = 0.05  # a foot less deep than this is in its own splash (choice of ours)
_INSIDE = (
    "pelvis",
    "thorax",
    "neck",
    "head_top",
    "nose",
    "chin",
)  # set from the outline: never behind the body
_HAND = ("wrist", "knuckles", "fingertip", "thumb_tip")
_FOOT = ("ankle", "heel", "toe")
SWAPPED = (("shoulder", "elbow", *_HAND), ("hip", "knee", *_FOOT), ("eye", "ear"))


def lasting(shape: tuple[int, int], step_s: float, lasts_s: float, rng: np.random.Generator) -> np.ndarray:
    """Unit-variance series down the first axis that forget 63 % of themselves in `lasts_s`."""
    white = rng.standard_normal(shape)
    if lasts_s <= 0:
        return white
    from scipy.signal import lfilter

    keep = float(np.exp(-step_s / lasts_s))
    white[1:] *= np.sqrt(1 - keep**2)
    return lfilter([1.0], [1.0, -keep], white, axis=0)


def gaps(
    shape: tuple[int, int], share: float, *, step_s: float, lasts_s: float, rng: np.random.Generator
) -> np.ndarray:
    """Where things are lost: `share` of all places, in stretches of about `lasts_s`."""
    if share <= 0:
        return np.zeros(shape, bool)
    if share >= 1:
        return np.ones(shape, bool)
    from scipy.special import ndtri

    return lasting(shape, step_s, lasts_s, rng) > ndtri(1 - share)


def behind_body(
    camera: Camera, joints_m: np.ndarray, pixels: np.ndarray, *, names: Sequence[str], shift_m: np.ndarray
) -> np.ndarray:
    """Which points have trunk or head between them and the lens.

    Parameters
    ----------
    joints_m, pixels : numpy.ndarray, shapes (n_frames, n_joints, 3) and (n_frames, n_joints, 2)

    Returns
    -------
    numpy.ndarray of bool, shape (n_frames, n_joints)

    Notes
    -----
    Trunk and head are capsules along thorax-pelvis and neck-head top, taken at the picture of their axis.
    """
    hidden = np.zeros(pixels.shape[:2], bool)
    depth = (joints_m - camera.position_m) @ camera.rotation[2]
    depth -= camera.rotation[2, 0] * np.asarray(shift_m).reshape(-1, 1)
    for one, other, radius in (("thorax", "pelvis", TRUNK_RADIUS_M), ("neck", "head_top", HEAD_RADIUS_M)):
        if one not in names or other not in names:
            continue
        a, b = names.index(one), names.index(other)
        start, along = pixels[:, a, None], (pixels[:, b] - pixels[:, a])[:, None]
        square = np.maximum((along**2).sum(-1), 1e-9)
        share = np.clip(((pixels - start) * along).sum(-1) / square, 0, 1)
        far = depth[:, a, None] + share * (depth[:, b] - depth[:, a])[:, None]
        off = ((pixels - start - share[..., None] * along) ** 2).sum(-1)
        with np.errstate(invalid="ignore", divide="ignore"):
            hidden |= (off < (radius * camera.focal_px[0] / far) ** 2) & (depth > far + radius / 2)
    hidden[:, [i for i, name in enumerate(names) if name in _INSIDE]] = False
    return hidden


def splashed(
    joints_m: np.ndarray,
    time_s: np.ndarray,
    *,
    names: Sequence[str],
    splash_s: float,
    rng: np.random.Generator,
) -> np.ndarray:
    """Points of a hand in its own splash, for 0.5 to 1.5 times `splash_s` after each entry.

    Returns
    -------
    numpy.ndarray of bool, shape (n_frames, n_joints)
    """
    lost = np.zeros(joints_m.shape[:2], bool)
    if splash_s <= 0:
        return lost
    for side in SIDES:
        if f"{side}_fingertip" not in names:
            continue
        height = joints_m[:, names.index(f"{side}_fingertip"), 2]
        enters = np.flatnonzero((height[:-1] >= 0) & (height[1:] < 0)) + 1
        length = splash_s * rng.uniform(0.5, 1.5, len(enters))
        latest = np.searchsorted(enters, np.arange(len(time_s)), side="right") - 1
        inside = latest >= 0
        wet = np.zeros(len(time_s), bool)
        wet[inside] = time_s[inside] - time_s[enters[latest[inside]]] < length[latest[inside]]
        columns = [names.index(f"{side}_{part}") for part in _HAND if f"{side}_{part}" in names]
        lost[:, columns] |= wet[:, None]
    return lost


def feet_at_surface(joints_m: np.ndarray, names: Sequence[str]) -> np.ndarray:
    """Points of a foot less than a hand's breadth deep, shape (n_frames, n_joints)."""
    feet = np.array([name.split("_")[-1] in _FOOT for name in names])
    return feet & (joints_m[..., 2] > -SURFACE_M)


def exchange(
    pixels: np.ndarray,
    names: Sequence[str],
    *,
    share: float,
    step_s: float,
    lasts_s: float,
    rng: np.random.Generator,
) -> np.ndarray:
    """Pixels in which left and right of arms, legs or face are exchanged for stretches of time."""
    if share <= 0:
        return pixels
    pixels = pixels.copy()
    swapped = gaps((len(pixels), len(SWAPPED)), share, step_s=step_s, lasts_s=lasts_s, rng=rng)
    for group, parts in enumerate(SWAPPED):
        rows = np.flatnonzero(swapped[:, group])[:, None]
        pairs = [(f"left_{part}", f"right_{part}") for part in parts]
        pairs = [(names.index(a), names.index(b)) for a, b in pairs if a in names and b in names]
        if pairs:
            left, right = np.array(pairs).T
            pixels[rows, left], pixels[rows, right] = pixels[rows, right], pixels[rows, left]
    return pixels
