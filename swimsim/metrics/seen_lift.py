"""From the pixels of one camera to points in the world: the coordinate that is not seen comes from the body.

Two coordinates of a point follow from its pixel once the third is set. Trunk, head and legs are set by the
proportions of the body, shoulders and hips of a side view by how far one is above the other. Each limb of the arm is
set by its length: its far joint lies where the ray of its pixel meets the sphere round its near joint (the limb's
length from the published table), or nearest to it where it passes by. Of the two meeting points one is taken

- in side views with the elbow outside the shoulder, and in the recovery with the wrist outside the elbow; under water
  the hand stays in the upright plane through the shoulder line;
- in front and rear views ahead while the hand goes down and behind while it comes up, the forearm in the air ahead
  while the hand comes in;
- from below or above under the body while the hand goes back.

Set coordinates come from smoothed pixels, so that the noise of the two that are seen stays as it is.
"""

from __future__ import annotations

import numpy as np

from ..ground.conventions import SIDES
from ..ground.rays import onto_plane
from ..ground.records import Camera, Seen, Trace
from .seen_arms import MOVED, arm_levels
from .seen_body import STATURE_M, body_levels
from .seen_sides import sides_put_right
from .seen_square import squared
from .seen_views import view_of

LEAST_CONFIDENCE = 0.25


def lift(
    seen: Seen, *, stature_m: float, time_s: np.ndarray, limbs: bool = True, square: bool = True
) -> Trace:
    """World points of everything that is seen, by the camera that is believed in.

    Parameters
    ----------
    seen : Seen
    stature_m : float
        Sets the coordinate that is not seen. [m]
    time_s : numpy.ndarray, shape (n_frames,)
        Times of the frames. [s]
    limbs : bool
        False: arms stay in the upright plane through their shoulder, so that angles are those in the picture.
    square : bool
        Whether the camera is turned until the body lies along its line of travel; see `seen_square`.

    Returns
    -------
    Trace
        Where the camera travels, points are carried along by its speed of `meta["camera_speed_m_s"]`.
    """
    names = tuple(seen.joint_names)
    view = view_of(seen.camera)
    with np.errstate(invalid="ignore"):
        pixels = np.where((seen.confidence >= LEAST_CONFIDENCE)[..., None], seen.pixels, np.nan)
    pixels, mended = sides_put_right(pixels, names, time_s)
    levels, camera, turn = body_levels(names, view, stature_m), seen.camera, 0.0
    if square:
        camera, turn = squared(camera, pixels, levels_m=levels, names=names, view=view)
    level = np.broadcast_to(levels, pixels.shape[:2])
    if limbs and any(f"{side}_shoulder" in names for side in SIDES):
        some = [i for i, name in enumerate(names) if name.endswith(MOVED)]
        level = level.copy()
        level[:, some] = arm_levels(
            camera, pixels[:, some], level[:, some], names=tuple(names[i] for i in some), view=view,
            stature_m=stature_m, time_s=time_s,
        )  # fmt: skip
    points = onto_plane(camera, pixels, axis=view.hidden, level_m=level)
    travelled = (
        float(seen.meta.get("camera_speed_m_s") or 0.0) * time_s
        if seen.camera.travels
        else np.zeros(len(time_s))
    )
    points[..., 0] += travelled[:, None]
    rate = float((len(time_s) - 1) / (time_s[-1] - time_s[0])) if len(time_s) > 1 else seen.rate_hz
    return Trace(time_s, points, names, rate, {**seen.meta, "turned_deg": turn, "sides_put_right": mended})


def camera_as_squared(seen: Seen, *, square: bool = True) -> Camera:
    """The camera that `lift` uses: the one that is believed in, or that one turned to be square to the body."""
    if not square:
        return seen.camera
    view, names = view_of(seen.camera), tuple(seen.joint_names)
    levels = body_levels(names, view, float(seen.meta.get("stature_m") or STATURE_M))
    return squared(seen.camera, seen.pixels, levels_m=levels, names=names, view=view)[0]
