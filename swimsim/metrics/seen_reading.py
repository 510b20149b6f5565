"""The blind reader for one camera: events and measures from pixels, with the scale that a coach would have."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from ..ground.errors import InputError, nearest
from ..ground.rays import onto_plane
from ..ground.records import Camera, Seen, Trace
from .events import EXIT_RULE
from .reading import Reading, check, read_points
from .seen_body import STATURE_M, body_share
from .seen_lift import lift
from .seen_views import View, told, told_events, view_of

LONGEST_GAP_S = 0.25  # gaps that are filled in: a hand is hidden by its own splash (choice of ours)
SCALES = ("camera", "body", "lane_line", "none")
_BONES = (("shoulder", "hip", "trunk"), ("hip", "knee", "thigh"), ("knee", "ankle", "shank"))


@dataclass(frozen=True)
class Scale:
    """Where metres come from.

    Parameters
    ----------
    kind : {"camera", "body", "lane_line", "none"}
        The believed camera (its distance and lens); the swimmer's stature; a line of known length in the picture;
        nothing, which leaves lengths and speeds unread.
    length_m : float or None
        Stature, or length of the line. [m]
    pixels : tuple of two (x, y), optional
        Ends of the line. [px]
    beside_m : float
        Where the line lies along the axis that is not seen, in world coordinates (ropes of a lane of
        2.5 m: y = 1.25 and -1.25). [m]
    """

    kind: str = "camera"
    length_m: float | None = None
    pixels: tuple[tuple[float, float], tuple[float, float]] | None = None
    beside_m: float = 0.0

    def __post_init__(self) -> None:
        if self.kind not in SCALES:
            raise InputError(
                f"scale: expected one of {', '.join(SCALES)}, got '{self.kind}'; {nearest(self.kind, SCALES)}"
            )
        if self.length_m is not None and not (np.isfinite(self.length_m) and self.length_m > 0):
            raise InputError(f"scale: length: expected metres above 0, got {self.length_m}")
        if self.kind == "lane_line" and (self.length_m is None or self.pixels is None):
            raise InputError(
                "scale: lane_line: expected the length of the line in metres and the pixels of both ends"
            )


def measure_seen(
    seen: Seen,
    *,
    scale: Scale | str = "camera",
    filmed_hz: float | None = None,
    limbs: bool = True,
    square: bool = True,
    cutoff_hz: float | str | None = "auto",
    exit_rule: str = EXIT_RULE,
) -> Reading:
    """Read what one camera tells of every measure of `shared/definitions.toml`.

    Parameters
    ----------
    seen : Seen
        Pixels with NaN where lost, and the camera as it is believed to be. `meta["stature_m"]` and
        `meta["camera_speed_m_s"]` are used where they are there.
    scale : Scale or its kind
    filmed_hz : float, optional
        Frames a second that were taken, for a slow-motion clip whose time stamps say another rate. [Hz]
    limbs : bool
        True: angles in space, with limbs turned out of the picture as far as they look too short; their rule ends in
        `_by_limb_length`. False: the angles in the picture; their rule ends in `_as_seen`.
    square : bool
        Whether to undo how far off square the camera stood, as told by the swimmer's own body.
    cutoff_hz, exit_rule
        As in `measure_trace`.

    Returns
    -------
    Reading
        A measure that the view does not tell is NaN and says why.

    Raises
    ------
    InputError
        A scale, rate, cut-off or rule that cannot be used.
    """
    scale = Scale(scale) if isinstance(scale, str) else scale
    trace, view = lifted(seen, scale, filmed_hz=filmed_hz, limbs=limbs, square=square)
    check(trace, cutoff_hz, exit_rule)
    reading = read_points(
        trace, cutoff_hz=cutoff_hz, exit_rule=exit_rule, view=view.kind, longest_gap_s=LONGEST_GAP_S,
        told=told(view, scaled=scale.kind != "none", limbs=limbs),
    )  # fmt: skip
    events = tuple(event for event in reading.events if event.event in told_events(view))
    return replace(reading, events=events, rule=f"{reading.rule} {_rule(seen, view, scale, trace.meta)}")


def lifted(
    seen: Seen, scale: Scale, *, filmed_hz: float | None = None, limbs: bool = True, square: bool = True
) -> tuple[Trace, View]:
    """World points of what is seen, in the given scale, and the view."""
    stature = _stature(seen, scale)
    trace = lift(seen, stature_m=stature, time_s=_times(seen, filmed_hz), limbs=limbs, square=square)
    view = view_of(seen.camera)
    factor = _factor(trace, seen.camera, view, scale=scale, stature_m=stature)
    return (trace if factor == 1.0 else _scaled(trace, seen.camera, view, factor)), view


def _stature(seen: Seen, scale: Scale) -> float:
    told = scale.length_m if scale.kind == "body" else None
    return float(told or seen.meta.get("stature_m") or STATURE_M)


def _times(seen: Seen, filmed_hz: float | None) -> np.ndarray:
    """Times of the frames as they were taken. [s]"""
    if filmed_hz is None:
        return np.asarray(seen.time_s, float)
    if not (np.isfinite(filmed_hz) and filmed_hz > 0):
        raise InputError(f"filmed_hz: expected frames a second above 0, got {filmed_hz}")
    return np.asarray(seen.time_s, float) * seen.rate_hz / filmed_hz


def _factor(trace: Trace, camera: Camera, view: View, *, scale: Scale, stature_m: float) -> float:
    """By how much lengths are to be stretched."""
    if scale.kind == "lane_line":
        ends = onto_plane(camera, np.array([scale.pixels], float), axis=view.hidden, level_m=scale.beside_m)[
            0
        ]
        found, wanted = float(np.linalg.norm(ends[0] - ends[1])), scale.length_m
    elif scale.kind == "body":
        found, wanted = _body_length(trace, view), stature_m * _body_shares(view)
    else:
        return 1.0
    if not (np.isfinite(found) and found > 0):
        raise InputError(f"scale: {scale.kind}: expected its ends in the picture, got no length")
    return wanted / found


def _body_shares(view: View) -> float:
    if view.kind == "front":
        return 2 * body_share("half_shoulder_width")
    return sum(body_share(share) for *_, share in _BONES)


def _body_length(trace: Trace, view: View) -> float:
    """Length that stands for stature: shoulder to ankle along the bones, or from the front the shoulder width. [m]"""
    seen = ["xyz".index(axis) for axis in view.axes]
    if view.kind == "front":
        return _median_length(trace, "left_shoulder", "right_shoulder", seen)
    sides = [
        [_median_length(trace, f"{s}_{a}", f"{s}_{b}", seen) for a, b, _ in _BONES] for s in ("left", "right")
    ]
    sums = [sum(side) for side in sides if np.isfinite(side).all()]
    return float(np.mean(sums)) if sums else np.nan


def _median_length(trace: Trace, one: str, other: str, axes: list[int]) -> float:
    apart = np.linalg.norm((trace.joint(one) - trace.joint(other))[:, axes], axis=1)
    apart = apart[np.isfinite(apart)]
    return float(np.median(apart)) if len(apart) else np.nan


def _scaled(trace: Trace, camera: Camera, view: View, factor: float) -> Trace:
    """Seen coordinates stretched about the middle of the picture, which a person who films keeps in its place."""
    middle = (np.array(camera.size_px, float) - 1) / 2
    anchor = onto_plane(camera, middle[None, None], axis=view.hidden, level_m=0.0)[0, 0]
    points = trace.joints_m.copy()
    along = float(trace.meta.get("camera_speed_m_s") or 0.0) * trace.time_s if camera.travels else 0.0
    for axis in ("xyz".index(letter) for letter in view.axes):
        base = anchor[axis] + (along if axis == 0 else 0.0)
        base = base[:, None] if np.ndim(base) else base
        points[..., axis] = base + factor * (points[..., axis] - base)
    return replace(trace, joints_m=points)


def _rule(seen: Seen, view: View, scale: Scale, facts: Mapping) -> str:
    """View and scale in words."""
    hidden = "xyz"[view.hidden]
    how = "by the lengths of limbs and " if view.kind != "side" else ""
    return (
        f"One camera, {seen.camera.name}: {' and '.join(view.axes)} seen, "
        f"{hidden} set {how}by the proportions of the body. "
        f"Camera turned by {facts['turned_deg']:.1f} degrees to be square to the body. "
        f"Scale from {scale.kind.replace('_', ' ')}."
    )
