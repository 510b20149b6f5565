"""The pool behind the swimmer, true to scale: where its walls, ropes, tiles and floor line are in the world.

Every dimension lies in shared/pool.toml with its source. The swimmer's lane has its middle at y = 0. A trace that
would run into a wall is drawn in an endless lane without walls.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from swimsim.ground.records import Camera, Trace
from swimsim.ground.tables import read_toml


@dataclass(frozen=True)
class Pool:
    """Where the pool lies along the lane.

    Parameters
    ----------
    zero_x_m : float
        World x from which distances along the lane count: the start wall, or mid-hip at time 0 without walls. [m]
    length_m : float or None
        From wall to wall; None for an endless lane. [m]
    """

    zero_x_m: float = 0.0
    length_m: float | None = None

    @property
    def walls_x_m(self) -> tuple[float, ...]:
        """World x of the start wall and of the far wall; none in an endless lane. [m]"""
        return () if self.length_m is None else (self.zero_x_m, self.zero_x_m + self.length_m)

    def from_wall(self, x_m: np.ndarray) -> np.ndarray:
        """Distance to the nearer wall, negative beyond it; infinite in an endless lane. [m]"""
        along = np.asarray(x_m, float) - self.zero_x_m
        return (
            np.full_like(along, np.inf) if self.length_m is None else np.minimum(along, self.length_m - along)
        )


def measures() -> dict:
    """Every dimension of shared/pool.toml."""
    return read_toml("pool")


def pool_of(trace: Trace, start_x_m: float = 0.0, *, start_wall_m: float | None = None) -> Pool:
    """The pool for a trace: mid-hip is `start_wall_m` from the start wall at time 0.

    Parameters
    ----------
    trace : Trace
    start_x_m : float
        World x of mid-hip at time 0. [m]
    start_wall_m : float, optional
        By default `start_wall` of shared/pool.toml. [m]

    Returns
    -------
    Pool
        An endless lane if the swimmer would reach a wall.
    """
    start_wall = measures()["start_wall"] if start_wall_m is None else start_wall_m
    pool = Pool(start_x_m - start_wall, measures()["length"])
    x = trace.joints_m[..., 0]
    x = x[np.isfinite(x)]
    if not len(x):
        return pool
    fits = x.min() - pool.walls_x_m[0] >= 0 and pool.walls_x_m[1] - x.max() >= 0
    return pool if fits else Pool(start_x_m)


def rope_sides(camera: Camera) -> tuple[float, ...]:
    """World y of the swimmer's two lane ropes, less the one between camera and swimmer (cut away). [m]"""
    half = measures()["lane_width"] / 2
    y = float(camera.position_m[1])
    return tuple(rope for rope in (-half, half) if not 0 < rope / (y or np.inf) < 1)


def side_walls() -> tuple[float, float]:
    """World y of the left and the right side wall. [m]"""
    pool = measures()
    right = -(pool["lane"] - 0.5) * pool["lane_width"] - pool["outside"]
    return right + pool["lanes"] * pool["lane_width"] + 2 * pool["outside"], right


def float_kinds(pool: Pool, x_m: np.ndarray) -> np.ndarray:
    """What each float of a rope is: 0 plain, 1 at a whole metre, 2 in the end part, 3 a mark, -1 none there."""
    rope = measures()["rope"]
    near = pool.from_wall(x_m)
    whole = _is_multiple(x_m - pool.zero_x_m, 1.0)
    kinds = np.where(whole, 1, 0)
    kinds = np.where(near <= rope["end_part"] + 1e-9, 2, kinds)
    marked = np.abs(near - rope["mark"]) < 1e-6
    if pool.length_m is not None:
        marked |= np.abs(near - pool.length_m / 2) < 1e-6
    return np.where(near < rope["pitch"] / 2, -1, np.where(marked, 3, kinds))


def lattice(pool: Pool, here_m: np.ndarray, *, step_m: float, reach_m: tuple[float, float]) -> np.ndarray:
    """World x of whole multiples of a step from the pool's zero, around moving places.

    Parameters
    ----------
    here_m : numpy.ndarray, shape (n_frames,)
    reach_m : (float, float)
        How far behind (negative) and ahead of each place. [m]

    Returns
    -------
    numpy.ndarray, shape (n_frames, n)
    """
    first = np.ceil((here_m - pool.zero_x_m + reach_m[0]) / step_m - 1e-9) * step_m + pool.zero_x_m
    return first[:, None] + step_m * np.arange(int((reach_m[1] - reach_m[0]) / step_m))


def _is_multiple(values: np.ndarray, step: float) -> np.ndarray:
    return np.abs(values / step - np.round(values / step)) < 1e-6
