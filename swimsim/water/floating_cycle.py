"""The floating swimmer over one period of the stroke: heave, pitch and surge once nothing changes any more.

Left out, and what follows from it: no lift or bow wave of the moving hull, and the body drag acts at the trunk's
centre. A slow swimmer with a weak kick therefore lies too steep (about 30 degrees at 0.9 m/s, where 12 are usual), and
does not settle with the speed left free; at 1.3 to 1.8 m/s the mean trunk slope comes out at 11 to 15 degrees where 8
or 9 are set: arms that press down lift the shoulders by some 60 N, and no flow under the hull lifts the legs. So the
mean depth and slope are not handed back to the motion unless a reference is given (`float_motion`); the rise and fall
within the stroke is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from ..ground.conventions import JOINTS
from ..ground.errors import InputError, UnreachableError
from ..ground.tables import read_toml
from ..swimmer.anthropometry import Body
from .buoyancy import WATER_KG_M3
from .float_parts import STRIPS, Parts, float_parts
from .floating import STEP_S, Pond
from .floating_arms import ArmForce, ArmLoads, carried, crossflow_arms, resampled, trunk_states
from .floating_body import bare, driven_angles, rod_centres, slopes, still_drag, swimmer_pins, swimmer_rods
from .floating_drive import Drive

# Greatest change of height [m], slope [rad] and speed [m/s] from one period to the next once it counts as settled.
SETTLED = (1e-4, 1e-4, 1e-4)
PERIODS_MOST = 60
LACKING = 0.02  # steady force still found lacking when it counts as settled [N]
# Periods after which the slopes of the arms' load are kept; the load itself is always renewed.
SLOPES_RENEWED = 3


@dataclass(frozen=True)
class FloatSettings:
    """Choices of the floating swimmer.

    Parameters
    ----------
    drag : (float, float)
        k and n of the body drag k v^n, as measured: with upper arms that go along and with the body's own slope, which
        are both taken off again. [N (s/m)^n], -
    fullness : float, optional
        Gas in the lungs above residual volume as a share of vital capacity; default as while swimming.
    thorax_density_kg_m3 : float, optional
        Default that of the body table. [kg/m3]
    hold_speed : bool
        True: a steady forward force on the trunk, found by the model, holds the mean speed. False: the speed is
        what the arms and legs give.
    arm_force : callable, optional
        Makes the water's force on the arms from the parts; default cross-flow strips.
    surge_alone : bool
        True: height and slope of the trunk are held as in the trace, and the rods have no water across them. What is
        left is the surge of the jointed swimmer; `arm_force` then has to bring the legs' force too.
    along_kg_m : float
        Drag over the square of speed that limbs of `arm_force` other than upper arms have when they only go along:
        given back, because the body's drag has it. [kg/m]
    step_s : float
        [s]
    strips : int
        Per part.
    water_kg_m3 : float
        [kg/m3]
    periods_most : int
        Periods within which it must settle.
    """

    drag: tuple[float, float] = (30.0, 2.0)
    fullness: float | None = None
    thorax_density_kg_m3: float | None = None
    hold_speed: bool = True
    arm_force: Callable[[Parts], ArmForce] = crossflow_arms
    surge_alone: bool = False
    along_kg_m: float = 0.0
    step_s: float = STEP_S
    strips: int = STRIPS
    water_kg_m3: float = WATER_KG_M3
    periods_most: int = PERIODS_MOST


@dataclass(frozen=True)
class FloatCycle:
    """One settled period of the floating swimmer.

    Parameters
    ----------
    time_s : numpy.ndarray, shape (n,)
        Steps of one period from time 0, its end not repeated. [s]
    period_s : float
    speed_m_s, height_m, slope_rad : numpy.ndarray, shape (n,)
        Forward speed and height (surface 0) of the mid-hip, slope of the trunk (head end higher is positive).
    slope_of_trace_rad, height_of_trace_m : numpy.ndarray, shape (n,)
        The same of the trace that drove the limbs.
    arm_load : numpy.ndarray, shape (n, 3)
        Water's force on the arms forward and upward, and its torque about the trunk's centre. [N], [N], [N m]
    held_by_n : float
        Steady forward force that holds the speed; 0 when the speed is free. [N]
    periods : int
        Periods until it settled.
    """

    time_s: np.ndarray
    period_s: float
    speed_m_s: np.ndarray
    height_m: np.ndarray
    slope_rad: np.ndarray
    height_of_trace_m: np.ndarray
    slope_of_trace_rad: np.ndarray
    arm_load: np.ndarray
    held_by_n: float
    periods: int
    change: np.ndarray = field(repr=False)

    @property
    def heave_m(self) -> np.ndarray:
        """Rise of the mid-hip above the trace's. [m]"""
        return self.height_m - self.height_of_trace_m

    @property
    def pitch_rad(self) -> np.ndarray:
        """Slope of the trunk beyond the trace's. [rad]"""
        return self.slope_rad - self.slope_of_trace_rad


def float_cycle(
    joints_m: np.ndarray,
    body: Body,
    *,
    period_s: float,
    speed_m_s: float,
    settings: FloatSettings | None = None,
) -> FloatCycle:
    """Let a swimmer float whose limbs are driven as in a trace.

    Parameters
    ----------
    joints_m : array_like, shape (n_frames, n_joints, 3)
        One period of a stroke at evenly spaced instants from time 0, its end not repeated. Only what the limbs do
        against the trunk, roll and the way sideways are taken from it; the trunk's rise, fall and slope are free.
    period_s : float
        [s]
    speed_m_s : float
        Mean speed of the trace: the speed that is held, or the one to start from. [m/s]

    Raises
    ------
    InputError
        Joints of another shape, missing ones, numbers out of range.
    UnreachableError
        It does not settle within `settings.periods_most` periods.
    """
    settings = settings or FloatSettings()
    joints = _checked(joints_m, period_s, speed_m_s)
    return _Swim(joints, body, period_s, speed_m_s, settings).settle()


class _Swim:
    """Everything one float needs, and the rounds until it settles."""

    def __init__(
        self, joints, body: Body, period_s: float, speed_m_s: float, settings: FloatSettings
    ) -> None:
        self.settings, self.body, self.period_s, self.speed_m_s = settings, body, period_s, speed_m_s
        fullness = settings.fullness
        if fullness is None:
            fullness = read_toml("float")["lungs"]["fullness_swimming"]
        parts = float_parts(
            body,
            fullness=fullness,
            thorax_density_kg_m3=settings.thorax_density_kg_m3,
            strips=settings.strips,
        )
        self.count = max(round(period_s / settings.step_s), 8)
        self.joints = resampled(joints, self.count)
        self.centre = rod_centres(parts, body)["trunk"]
        self.mass, self.place, self.torque = carried(parts, self.joints, period_s)
        self.place = self.place - [self.centre, 0.0]
        rods = swimmer_rods(parts, body, self.joints)
        rods = bare(rods) if settings.surge_alone else rods
        self.loads = ArmLoads(
            self.joints,
            period_s,
            hip_to_centre_m=self.centre,
            force=settings.arm_force(parts),
            along_kg_m=settings.along_kg_m + still_drag(rods, self.joints, settings.water_kg_m3),
        )
        self.states = trunk_states(self.joints, period_s, speed_m_s=speed_m_s, hip_to_centre_m=self.centre)
        self.angles = driven_angles(self.joints)
        k, n = settings.drag
        self.pond = Pond(
            rods,
            swimmer_pins(parts, body, self.joints),
            step_s=period_s / self.count,
            water_kg_m3=settings.water_kg_m3,
            drag=(k * (1 - read_toml("water")["arm"]["share_of_drag"][body.sex]), n),
            carried_kg=self.mass,
        )
        self.rail = self.states[:, 1:3] if settings.surge_alone else None
        if settings.surge_alone:
            self.pond.guide()

    def settle(self) -> FloatCycle:
        """Whole periods until height, slope and speed repeat."""
        self.pond.place(*self._start())
        held, states, slope = 0.0, self.states, None
        for period in range(1, self.settings.periods_most + 1):
            load = self.loads.at(states)
            if period <= SLOPES_RENEWED:
                slope = self.loads.slope(states, load)
            new = self.pond.run(self.count, drive=self._drive(states, load, slope, held))
            change = np.abs(new - states)[:, 1:4].max(axis=0)
            lacking = self._hold(new, slope) if self.settings.hold_speed else 0.0
            states = new
            if (change < SETTLED).all() and abs(lacking) < LACKING:
                return self._result(states, held, period, change)
            held += lacking
        raise UnreachableError(
            f"float: not settled after {self.settings.periods_most} periods: height, slope and speed still change by "
            f"{change[0]:.2g} m, {change[1]:.2g} rad and {change[2]:.2g} m/s per period"
        )

    def _drive(self, states: np.ndarray, load: np.ndarray, slope: np.ndarray, held: float) -> Drive:
        """Limbs and loads of one period; the load holds at `states` and changes from there by `slope`."""
        load = load + np.column_stack([np.full(self.count, held), np.zeros(self.count), self.torque])
        return Drive(self.angles, carried_m=self.place, load=load, slope=slope, around=states, rail=self.rail)

    def _hold(self, states: np.ndarray, slope: np.ndarray) -> float:
        """Bring the mean speed back to the set one; return the steady force that was lacking. [N]

        What is lacking shows as the change of speed over the period, which fades with the time that the slopes of the
        drag law and of the arms' force give.
        """
        k, n = self.pond.drag
        stiff = max(k * n * self.speed_m_s ** (n - 1) - slope[:, 0, 3].mean(), 1.0)
        speed = self.pond.speed_m_s
        gained = speed - states[0, 3]
        self.pond.add_speed(self.speed_m_s - states[:, 3].mean())
        return -stiff * gained / (1 - np.exp(-self.period_s * stiff / self.pond.moved_along_kg))

    def _start(self) -> tuple[np.ndarray, np.ndarray]:
        """Every body at time 0: along the straight chain of rods from the trunk, moving with it."""
        bodies = self.pond.bodies
        x, z, angle = self.states[0, :3]
        by_name = {"trunk": (np.array([x, z]), angle)}
        angles = dict(zip([joint.second for joint in self.pond.joints], self.angles[0], strict=True))
        for joint in self.pond.joints:
            centre, slope = by_name[joint.first]
            pin = centre + _turned(joint.on_first_m, slope)
            slope = slope + angles[joint.second]
            by_name[joint.second] = (pin - _turned(joint.on_second_m, slope), slope)
        rows = [(*by_name[rod.name][0], by_name[rod.name][1]) for rod in self.pond.rods]
        rows.append((*(np.array([x, z]) + _turned(self.place[0], angle)), 0.0))
        return np.array(rows), np.tile([self.speed_m_s, 0.0, 0.0], (len(bodies), 1))

    def _result(self, states: np.ndarray, held: float, periods: int, change: np.ndarray) -> FloatCycle:
        z, angle, turn = states[:, 1], states[:, 2], states[:, 5]
        trace = self.joints[:, JOINTS.index("pelvis"), 2]
        return FloatCycle(
            time_s=np.arange(self.count) * self.period_s / self.count,
            period_s=self.period_s,
            speed_m_s=states[:, 3] + self.centre * np.sin(angle) * turn,
            height_m=z - self.centre * np.sin(angle),
            slope_rad=angle,
            height_of_trace_m=trace,
            slope_of_trace_rad=slopes(self.joints)["trunk"],
            arm_load=self.loads.at(states),
            held_by_n=held,
            periods=periods,
            change=change,
        )


def _turned(point, angle: float) -> np.ndarray:
    """A point of a rod's frame in the world, from the rod's centre."""
    sine, cosine = np.sin(angle), np.cos(angle)
    return np.array([cosine * point[0] - sine * point[1], sine * point[0] + cosine * point[1]])


def _checked(joints_m, period_s: float, speed_m_s: float) -> np.ndarray:
    """Joints without their mean advance, which a trace seen from the mid-hip or a carriage does not have."""
    joints = np.array(joints_m, float)
    problems = []
    if joints.ndim != 3 or joints.shape[1:] != (len(JOINTS), 3) or len(joints) < 8:
        problems.append(f"joints_m: expected shape (8 or more frames, {len(JOINTS)}, 3), got {joints.shape}")
    elif not np.isfinite(joints).all():
        problems.append("joints_m: expected every joint at every frame, got missing (NaN) ones")
    if not (np.isfinite(period_s) and 0.3 < period_s < 60):
        problems.append(f"period_s: expected 0.3 to 60 s, got {period_s!r}")
    if not (np.isfinite(speed_m_s) and 0 <= speed_m_s < 5):
        problems.append(f"speed_m_s: expected 0 to 5 m/s, got {speed_m_s!r}")
    if problems:
        raise InputError("\n".join(problems))
    time = np.arange(len(joints)) / len(joints) * period_s
    hips = joints[:, JOINTS.index("pelvis"), 0]
    if hips[-1] - hips[0] > 0.5 * speed_m_s * time[-1]:
        joints[..., 0] -= speed_m_s * time[:, None]
    return joints
