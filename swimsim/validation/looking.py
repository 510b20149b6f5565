"""One swimmer seen one way, and what the judging side makes of it.

A way is a condition and a view. The view `3d` stands for points in space from a calibrated set of cameras: white noise
on every coordinate of the size that the condition's pixels have at the swimmer, the condition's frame rate, and no
other loss. Every other view is one camera, square to the swimmer but for what the condition adds.
"""

from __future__ import annotations

import time
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from ..detectors import detect
from ..ground.records import Finding, Seen, Trace
from ..metrics import Reading, measure_trace
from ..scenario.play import Swum
from ..view.cameras import free_camera, named_camera
from ..view.conditions import WIDTH_PX, Condition
from ..view.seeing import see
from ..view.seeing_camera import middle_m
from .keypoints import PointScore, score_points
from .study import with_noise
from .ways import POINTS, Way, condition_of

#: Width of the picture at the swimmer: body and one cycle. [m]
FIELD_M = 4.4
SIZE_PX = (1920, 1080)
PICTURES = 24  # of a clip, evenly over it, whose points are scored


@dataclass(frozen=True)
class Look:
    """What was seen, what was read off it, what was found, and how long that took from exact points on. [s]

    Where a detector gives points or measures of its own, `data` and `reading` are those, and `shown` is what it saw and
    what we read off that.
    """

    data: Trace | Seen
    reading: Reading
    findings: tuple[Finding, ...]
    seconds: float
    shown: tuple[Trace | Seen, Reading] | None = None


Judge = Callable[[Trace | Seen, Reading], tuple[Finding, ...]]


def ours(data: Trace | Seen, reading: Reading) -> tuple[Finding, ...]:
    """The detectors of the package: they look at the reading alone."""
    return detect(reading)


def look(
    swum: Swum, way: Way, *, seed: int, judge: Judge = ours, cameras: Mapping[str, Mapping] | None = None
) -> Look:
    """See a swimmer one way and judge it.

    Parameters
    ----------
    seed : int
        The same seed gives the same noise; ways differ from each other.
    judge : callable
        Gives findings from what was seen and its reading.
    cameras : mapping, optional
        Cameras of one's own, by the name that stands in `way.view`.
    """
    condition = condition_of(way.condition)
    own = (cameras or {}).get(way.view)
    data = degraded(swum, condition, way.view, seed=zlib.crc32(f"{seed} {way.condition}".encode()), own=own)
    start = time.perf_counter()
    reading = read(data)
    findings = judge(data, reading)
    shown, given = (data, reading), getattr(judge, "given", None)
    if given is not None:
        data, reading = given.data or data, given.reading or reading
    return Look(data, reading, findings, time.perf_counter() - start, shown)


def degraded(
    swum: Swum, condition: Condition, view: str, *, seed: int, own: Mapping | None = None
) -> Trace | Seen:
    """Points in space with noise, or what one camera gives."""
    if view == POINTS:
        exact = swum.motion.trace(condition.rate_hz, swum.trace.time_s[-1], meta=swum.trace.meta)
        return with_noise(exact, condition.noise_px * FIELD_M / WIDTH_PX, seed=seed)
    if own is None:
        camera = named_camera(view, swum.body.stature_m, size_px=SIZE_PX)
    else:
        place = {key: own[key] for key in ("position_m", "aim_m", "field_deg")}
        camera = replace(free_camera(**place, size_px=SIZE_PX, name=view), travels=own.get("travels", True))
    return see(swum.trace, camera, condition, seed=seed)


_LOSSES = (
    "noise_px", "wander_px", "lost_share", "lost_behind_share", "lost_beyond_share", "splash_s", "splash_feet_share",
    "swap_share", "exposure_s", "time_jitter_s",
)  # fmt: skip


def score_seen(
    swum: Swum,
    way: Way,
    *,
    seed: int,
    cameras: Mapping[str, Mapping] | None = None,
    given: Seen | None = None,
) -> PointScore:
    """Points of one camera against where they are in truth: the same real camera and instants, without any loss.

    `given` are somebody else's points of the same clip, in place of ours.
    """
    condition, own = condition_of(way.condition), (cameras or {}).get(way.view)
    chance = zlib.crc32(f"{seed} {way.condition}".encode())
    found = degraded(swum, condition, way.view, seed=chance, own=own) if given is None else given
    exact = replace(condition, **dict.fromkeys(_LOSSES, 0.0))
    true = degraded(swum, exact, way.view, seed=chance, own=own)
    count = min(len(found.time_s), len(true.time_s))
    rows = np.linspace(0, count - 1, min(count, PICTURES)).astype(int)
    whole = rows[
        np.isfinite(true.pixels[rows]).all(axis=(1, 2))
    ]  # a picture that cuts off a joint has no whole truth
    size_cm = 100 * np.linalg.norm(true.camera.position_m - middle_m(true.camera)) / true.camera.focal_px[0]
    return score_points(
        true.pixels[whole], found.pixels[whole], names=tuple(true.joint_names), cm_per_px=float(size_cm)
    )


def read(data: Trace | Seen) -> Reading:
    """Every measure, from points in space or from one camera's."""
    if isinstance(data, Trace):
        return measure_trace(data)
    from ..metrics import measure_seen

    return measure_seen(data)
