"""One period of a stroke as seen from the mid-hip: where every joint is, and how fast it moves per cycle.

With the path held, stroke rate and forward speed are free: a joint's velocity through still water is
rate x (its slope) + (speed of the mid-hip, 0, 0).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..ground.conventions import JOINT_INDEX, JOINTS
from ..ground.errors import InputError
from ..swimmer.anthropometry import Body

STEPS_PER_CYCLE = 240  # even; 100 Hz down to 25 cycles/min
FRAMES_LEAST = 48  # per cycle of a trace; fewer cannot show a six-beat kick


@dataclass(frozen=True)
class StrokePath:
    """Joints over one period at evenly spaced instants, its end not repeated.

    Parameters
    ----------
    body : Body
    cycles : int
        Stroke cycles in the period (more than one when the breathing takes longer to repeat).
    joints_m : numpy.ndarray, shape (n, n_joints, 3)
        x from the mid-hip; y and z of the world. [m]
    slopes_m : numpy.ndarray, shape (n, n_joints, 3)
        Derivative by cycle share. [m/cycle]
    rate_hz, speed_m_s : float
        As in the trace it came from. [1/s], [m/s]
    """

    body: Body
    cycles: int
    joints_m: np.ndarray
    slopes_m: np.ndarray
    rate_hz: float
    speed_m_s: float

    @property
    def advance_m(self) -> float:
        """Stroke length of the trace. [m/cycle]"""
        return self.speed_m_s / self.rate_hz

    @property
    def steps(self) -> int:
        """Time steps of the surge in one period: two instants each."""
        return len(self.joints_m) // 2

    def joint(self, name: str) -> np.ndarray:
        """Positions of one joint, shape (n, 3). [m]"""
        return self.joints_m[:, JOINT_INDEX[name]]


def periodic_slope(values: np.ndarray) -> np.ndarray:
    """Derivative of values that are periodic along their first axis, by the share of the period; spectral."""
    count = len(values)
    waves = np.arange(count // 2 + 1.0)
    waves[-1] *= count % 2  # the highest wave of an even count has no slope
    turned = 2j * np.pi * waves.reshape(-1, *[1] * (values.ndim - 1)) * np.fft.rfft(values, axis=0)
    return np.fft.irfft(turned, count, axis=0)


def periodic_frames(values: np.ndarray, count: int) -> np.ndarray:
    """The same periodic values at `count` frames of the period."""
    waves = np.fft.rfft(values, axis=0)
    return np.fft.irfft(waves, count, axis=0) * (count / len(values))


def stroke_path(
    joints_m,
    body: Body,
    *,
    period_s: float,
    speed_m_s: float,
    cycles: int = 1,
    steps_per_cycle: int = STEPS_PER_CYCLE,
) -> StrokePath:
    """Make a path from one period of a trace.

    Parameters
    ----------
    joints_m : array_like, shape (n_frames, n_joints, 3)
        One period at evenly spaced instants, its end not repeated; 240 frames per cycle or more keep every detail.
        [m]
    period_s, speed_m_s : float
        Length of the period and mean speed of the trace. [s], [m/s]
    cycles : int
        Stroke cycles in the period.

    Raises
    ------
    InputError
        Joints of another shape, missing ones, a period that does not close, numbers out of range.
    """
    joints = np.array(joints_m, float)
    problems = _problems(joints, period_s, speed_m_s, cycles)
    if problems:
        raise InputError("\n".join(problems))
    joints[..., 0] -= joints[:, JOINT_INDEX["pelvis"], None, 0]
    if steps_per_cycle % 2 or steps_per_cycle < 40:
        raise InputError(f"steps_per_cycle: expected an even number, 40 or more, got {steps_per_cycle!r}")
    frames = 2 * steps_per_cycle * cycles
    joints = joints if len(joints) == frames else periodic_frames(joints, frames)
    slopes = periodic_slope(joints) / cycles
    return StrokePath(body, cycles, joints, slopes, cycles / period_s, float(speed_m_s))


def _problems(joints: np.ndarray, period_s: float, speed_m_s: float, cycles: int) -> list[str]:
    problems = []
    if not (isinstance(cycles, int) and 1 <= cycles <= 60):
        return [f"cycles: expected a whole number from 1 to 60, got {cycles!r}"]
    least = FRAMES_LEAST * cycles
    if joints.ndim != 3 or joints.shape[1:] != (len(JOINTS), 3) or len(joints) < least:
        shape = f"({least} or more frames, {len(JOINTS)}, 3)"
        problems.append(f"joints_m: expected shape {shape}, got {joints.shape}")
    elif not np.isfinite(joints).all():
        problems.append("joints_m: expected every joint at every frame, got missing (NaN) ones")
    elif _jump(joints) > 3:
        problems.append(
            "joints_m: expected one whole period without its end repeated; from the last frame to the first the body "
            f"moves {_jump(joints):.1f} times as far as from any frame to the next"
        )
    if not (np.isfinite(period_s) and 0.3 < period_s / cycles < 10):
        problems.append(f"period_s: expected 0.3 to 10 s per cycle, got {period_s!r} for {cycles}")
    if not (np.isfinite(speed_m_s) and 0.05 <= speed_m_s < 4):
        problems.append(f"speed_m_s: expected 0.05 to 4 m/s, got {speed_m_s!r}")
    return problems


def _jump(joints: np.ndarray) -> float:
    """Way from the last frame to the first, against the longest between neighbours; seen from the mid-hip."""
    seen = joints - joints[:, JOINT_INDEX["pelvis"], None] * [1, 0, 0]
    ways = np.abs(np.diff(seen, axis=0)).max(axis=(1, 2))
    return float(np.abs(seen[0] - seen[-1]).max() / max(ways.max(), 1e-9))
