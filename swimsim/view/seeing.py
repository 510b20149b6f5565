"""From an exact swimmer to what one camera gives: points with noise and gaps, and a camera that is only believed."""

from __future__ import annotations

import zlib
from typing import Any, Protocol

import numpy as np

from swimsim.ground.conventions import JOINTS, MODEL_LINE
from swimsim.ground.cubic import Cubic, Grid
from swimsim.ground.errors import InputError
from swimsim.ground.records import Camera, Seen, Trace

from . import refraction, seeing_losses
from .cameras import mean_speed, stature_of
from .conditions import WIDTH_PX, Condition
from .seeing_camera import believed_and_real

SHORT_S = 0.005  # an exposure up to this is straight: a hand turning at 50 m/s2 is 0.2 mm off its mean
GUESSED = 0.5  # confidence of a point that lies behind the body and is given all the same
_STEPS = (
    "phase",
    "jitter",
    "white",
    "wander",
    "streak",
    "lost",
    "behind",
    "beyond",
    "splash",
    "feet",
    "swap",
)


class Moving(Protocol):
    """Anything that knows where its joints are at any time."""

    def joints(self, time_s: np.ndarray) -> np.ndarray: ...


def see(
    source: Trace | Moving,
    camera: Camera,
    condition: Condition,
    *,
    seed: int = 0,
    duration_s: float | None = None,
    speed_m_s: float | None = None,
) -> Seen:
    """What a camera gives of a swimmer.

    Parameters
    ----------
    source : Trace, or an object with `joints(time_s)` in the order of JOINTS
        A trace is read between its frames by cubic curves.
    camera : Camera
        As set up by the coach: square and without what the condition adds.
    condition : Condition
    seed : int
        The same seed gives the same points; another effect switched on or off changes nothing else. Cameras of
        different names lose different points.
    duration_s : float, optional
        Needed where `source` is no trace. [s]
    speed_m_s : float, optional
        Of a camera that travels; default the swimmer's mean speed. [m/s]

    Returns
    -------
    Seen
        Pixels are NaN where lost. Confidence is 1, `GUESSED` behind the body, 0 where lost. The camera is the
        believed one; `meta` holds what a coach would know: stature, the believed speed of the camera, the name of
        the condition.

    Raises
    ------
    InputError
        Too short a source, or a condition that this camera cannot have.
    """
    draws = _draws(seed, camera.name)
    believed, real = believed_and_real(camera, condition)
    time = _frame_times(source, condition, duration_s, draws["phase"])
    joints, names, speed = _joints_at(source, time, condition.exposure_s, speed_m_s)
    speed = speed if camera.travels else 0.0
    pixels, streak, behind = _pictured(real, joints, names, time=time, speed=speed, condition=condition)
    lost = _lost(joints[len(joints) // 2], names, time, real, behind=behind, condition=condition, draws=draws)
    pixels = pixels + _noise(pixels.shape, streak, behind, real, condition=condition, draws=draws)
    with np.errstate(invalid="ignore"):
        lost |= ~((pixels >= -0.5) & (pixels <= np.array(real.size_px) - 0.5)).all(axis=-1)
    confidence = np.where(lost, 0.0, np.where(behind, GUESSED, 1.0))
    given = np.where(lost[..., None], np.nan, pixels)
    both = seeing_losses.exchange(
        np.concatenate([given, confidence[..., None]], axis=-1), names, share=condition.swap_share,
        step_s=1 / condition.rate_hz, lasts_s=condition.swap_s, rng=draws["swap"],
    )  # fmt: skip
    stamps, rate = _stamps(time, condition, draws["jitter"])
    facts = _known_facts(source, condition, speed / (1 + condition.speed_error_share))
    return Seen(stamps, both[..., :2], both[..., 2], tuple(names), believed, rate, facts)


def _draws(seed: int, camera: str) -> dict[str, np.random.Generator]:
    """One source of chance for each effect."""
    root = np.random.SeedSequence([int(seed), zlib.crc32(camera.encode())])
    return dict(zip(_STEPS, map(np.random.default_rng, root.spawn(len(_STEPS))), strict=True))


def _frame_times(
    source: Trace | Moving, condition: Condition, duration_s: float | None, rng: np.random.Generator
) -> np.ndarray:
    """When the shutter opens: evenly, from a chance instant within the first frame. [s]"""
    start, stop = (0.0, duration_s)
    if isinstance(source, Trace):
        start, stop = source.time_s[0], source.time_s[-1]
    if stop is None:
        raise InputError(
            "seeing: duration_s: expected how long to film, got nothing for a source without frames"
        )
    step = 1 / condition.rate_hz
    first = start + step * rng.uniform()
    count = int(np.floor((stop - condition.exposure_s - first) / step + 1e-9)) + 1
    if count < 2:
        raise InputError(f"seeing: expected a source of two frames or more, got {stop - start:.3g} s")
    return first + step * np.arange(count)


def _joints_at(
    source: Trace | Moving, time: np.ndarray, exposure_s: float, speed_m_s: float | None
) -> tuple[list[np.ndarray], list[str], float]:
    """Joints [m] at the opening, middle and closing of the shutter (or once); names; speed."""
    instants = [time + share * exposure_s for share in _opened(exposure_s)]
    if isinstance(source, Trace):
        speed = mean_speed(source) if speed_m_s is None else speed_m_s
        between = _curves(source)
        return [between(t) for t in instants], list(source.joint_names), float(speed)
    joints = [source.joints(t) for t in instants]
    if speed_m_s is None:
        hip = joints[0][:, JOINTS.index("pelvis"), 0]
        speed_m_s = float((hip[-1] - hip[0]) / (time[-1] - time[0]))
    return joints, list(JOINTS), speed_m_s


def _opened(exposure_s: float) -> tuple[float, ...]:
    """Shares of the exposure at which the joints are looked at."""
    return (0.0,) if exposure_s == 0 else (0.0, 1.0) if exposure_s <= SHORT_S else (0.0, 0.5, 1.0)


def _curves(trace: Trace):
    """Joints of a trace at any time within it; straight lines for joints with gaps, so that gaps stay gaps."""
    whole = np.isfinite(trace.joints_m).all(axis=(0, 2))
    smooth = Cubic(Grid(trace.time_s), trace.joints_m[:, whole].reshape(len(trace.time_s), -1))

    def at(time: np.ndarray) -> np.ndarray:
        if whole.all():
            return smooth(time).reshape(-1, len(whole), 3)
        found = np.empty((len(time), len(whole), 3))
        found[:, whole] = smooth(time).reshape(len(time), -1, 3)
        for joint in np.flatnonzero(~whole):
            for axis in range(3):
                found[:, joint, axis] = np.interp(time, trace.time_s, trace.joints_m[:, joint, axis])
        return found

    return at


def _pictured(
    real: Camera,
    joints: list[np.ndarray],
    names: list[str],
    *,
    time: np.ndarray,
    speed: float,
    condition: Condition,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Mean pixels while the shutter is open, the streak they draw, and which points lie behind the body."""
    opened = condition.exposure_s * np.array(_opened(condition.exposure_s))
    each = [refraction.see(real, j, speed * (time + t)) for j, t in zip(joints, opened, strict=True)]
    middle = len(each) // 2
    weights = {1: (1.0,), 2: (0.5, 0.5), 3: (1 / 6, 4 / 6, 1 / 6)}[len(each)]
    pixels = sum(weight * one for weight, one in zip(weights, each, strict=True))
    hides = condition.behind_times > 1 or condition.lost_behind_share > 0
    if not hides:
        return pixels, each[-1] - each[0], np.zeros(pixels.shape[:2], bool)
    shift = speed * (time + opened[middle])
    behind = seeing_losses.behind_body(real, joints[middle], each[middle], names=names, shift_m=shift)
    return pixels, each[-1] - each[0], behind


def _noise(
    shape: tuple[int, ...],
    streak: np.ndarray,
    behind: np.ndarray,
    real: Camera,
    *,
    condition: Condition,
    draws: dict,
) -> np.ndarray:
    """Errors of the points, shape (n_frames, n_joints, 2). [px]"""
    size, flat = real.size_px[0] / WIDTH_PX, (shape[0], shape[1] * 2)
    error = np.zeros(shape)
    if condition.noise_px:
        error += size * condition.noise_px * draws["white"].standard_normal(shape)
    if condition.wander_px:
        slow = seeing_losses.lasting(flat, 1 / condition.rate_hz, condition.wander_s, draws["wander"])
        error += size * condition.wander_px * slow.reshape(shape)
    if condition.exposure_s and condition.streak_share:
        error += streak * condition.streak_share * draws["streak"].uniform(-0.5, 0.5, (*shape[:2], 1))
    return error * np.where(behind, condition.behind_times, 1.0)[..., None]


def _lost(
    joints: np.ndarray, names: list[str], time: np.ndarray, real: Camera, *, behind: np.ndarray, condition: Condition,
    draws: dict,
) -> np.ndarray:  # fmt: skip
    """Which points are lost, shape (n_frames, n_joints)."""
    shape, lasts = behind.shape, {"step_s": 1 / condition.rate_hz, "lasts_s": condition.lost_s}
    lost = seeing_losses.gaps(shape, condition.lost_share, rng=draws["lost"], **lasts)
    lost |= seeing_losses.gaps(shape, condition.lost_behind_share, rng=draws["behind"], **lasts) & behind
    beyond = (joints[..., 2] > 0) != (real.position_m[2] > 0)
    lost |= seeing_losses.gaps(shape, condition.lost_beyond_share, rng=draws["beyond"], **lasts) & beyond
    lost |= seeing_losses.splashed(
        joints, time, names=names, splash_s=condition.splash_s, rng=draws["splash"]
    )
    feet = seeing_losses.gaps(shape, condition.splash_feet_share, rng=draws["feet"], **lasts)
    return lost | (feet & seeing_losses.feet_at_surface(joints, names))


def _stamps(time: np.ndarray, condition: Condition, rng: np.random.Generator) -> tuple[np.ndarray, float]:
    """Time stamps of the file and the frame rate they say. [s], [Hz]"""
    if condition.time_jitter_s:
        limit = 0.45 / condition.rate_hz  # stamps stay in order
        time = time + np.clip(condition.time_jitter_s * rng.standard_normal(len(time)), -limit, limit)
    if condition.saved_hz is None:
        return time, condition.rate_hz
    return time * condition.rate_hz / condition.saved_hz, condition.saved_hz


def _known_facts(source: Trace | Moving, condition: Condition, camera_speed: float) -> dict[str, Any]:
    """What a coach knows beside the picture."""
    body = getattr(source, "body", None)
    stature = stature_of(source) if isinstance(source, Trace) else getattr(body, "stature_m", None)
    return {
        "condition": condition.name,
        "stature_m": stature,
        "camera_speed_m_s": camera_speed,
        "note": MODEL_LINE,
    }
