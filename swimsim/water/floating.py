"""Rods that float: a plane of still water in which jointed rods are moved by weight, buoyancy, drag and loads.

The rigid bodies and joints are those of pymunk; every force on every strip is one numpy expression. Positions stand
at the steps, speeds between them, and what a force needs of speed and acceleration at its own instant is
extrapolated from the two steps before: second order in the step.

Added mass has a direction, which the mass of a rigid body has not. Each rod therefore carries the whole added mass
of a deep rod in its mass and inertia, and the part that is not there (along the rod, or above the water) is given
back as a force from the extrapolated acceleration. That is stable for any added mass.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..ground.errors import InputError
from .body_plane import Rod
from .buoyancy import GRAVITY_M_S2, WATER_KG_M3
from .floating_drive import Drive, Joint, guard

ITERATIONS = (
    40  # of the joint solver: 1e-6 m of the settled motion; fewer than about 15 do not hold the chain
)
STEP_S = 1 / 200  # leaves 0.1 mm, 0.03 degrees and 0.5 mm/s of a step twenty times finer
RAIL_M = 1e4  # half the length of the rail along which a guided rod slides
START_ROUNDS = 60  # of the fixed point of the first acceleration; at worst it halves its error in each


class Pond:
    """Still water with rods in it; time moves in equal steps.

    Parameters
    ----------
    rods : sequence of Rod
        The first one takes the body drag and the loads.
    joints : sequence of Joint
    step_s : float
        [s]
    water_kg_m3 : float
        [kg/m3]
    drag : (float, float)
        k and n of the body drag k |u|^n against the forward speed u of the first rod. [N (s/m)^n], -
    carried_kg : float
        Mass without volume that is carried at a moving point of the first rod (arms in the air or under water,
        whose water forces come as loads). [kg]

    Raises
    ------
    InputError
        Numbers that are not finite, positive or SI, and joints between rods that are not there.
    """

    def __init__(
        self,
        rods: Sequence[Rod],
        joints: Sequence[Joint] = (),
        *,
        step_s: float = STEP_S,
        water_kg_m3: float = WATER_KG_M3,
        drag: tuple[float, float] = (0.0, 2.0),
        carried_kg: float = 0.0,
    ) -> None:
        guard(rods, joints, step_s, water_kg_m3, drag, carried_kg)
        self.rods, self.joints, self.step_s, self.drag = tuple(rods), tuple(joints), step_s, drag
        self.count = len(self.rods)
        self._strips(water_kg_m3)
        self._masses(carried_kg)
        self._space()

    # ---- numbers that do not change

    def _strips(self, water: float) -> None:
        which = np.repeat(np.arange(self.count), [len(rod.at_m) for rod in self.rods])

        def joined(name):
            return np.concatenate([getattr(rod, name) for rod in self.rods])

        self.at, length, breadth = joined("at_m"), joined("length_m"), 2 * joined("half_breadth_m")
        one = (which[:, None] == np.arange(self.count)).astype(float)
        self.spread = np.ascontiguousarray(np.hstack([one, one * self.at[:, None]]))  # rods -> strips
        self.gather = np.ascontiguousarray(self.spread.T)  # strips -> rods
        self.per_half = 1 / joined("half_height_m")
        self.lift = water * GRAVITY_M_S2 * joined("area_m2") * length
        coefficient = np.array([rod.drag_coefficient for rod in self.rods])[which]
        self.cross = 0.5 * water * coefficient * breadth * length
        self.added = water * np.pi * (breadth / 2) ** 2 * length

    def _masses(self, carried: float) -> None:
        self.mass = np.array([rod.mass_kg for rod in self.rods])
        self.inertia = np.array([rod.inertia_kg_m2 for rod in self.rods])
        sums = self.gather @ np.column_stack([self.added, self.added * self.at])
        self.deep, self.deep_turn = sums[: self.count, 0], sums[self.count :, 1]
        self.not_along = self.deep - [rod.added_along_kg for rod in self.rods]
        # what is along the rod beyond the deep added mass across it is carried too
        self.extra = np.maximum(-self.not_along, 0.0)
        self.deep, self.not_along = self.deep + self.extra, self.not_along + self.extra
        self.carried_kg = carried
        self.weights = GRAVITY_M_S2 * np.append(self.mass, [carried] if carried else [])

    def _space(self) -> None:
        import pymunk
        from pymunk import batch

        self.space = pymunk.Space()
        self.space.iterations = ITERATIONS
        carried = [self.carried_kg] if self.carried_kg else []
        self._moved = np.append(self.mass + self.deep, carried)
        self._turned = np.append(self.inertia + self.deep_turn, np.ones(len(carried)))
        bodies = [
            pymunk.Body(*pair) for pair in zip(self._moved.tolist(), self._turned.tolist(), strict=True)
        ]
        self.space.add(*bodies)
        self.bodies = bodies
        by_name = {rod.name: body for rod, body in zip(self.rods, bodies, strict=False)}
        self.gears = []
        self.set_phase = (
            pymunk.GearJoint.phase.fset
        )  # past the engine's check of attribute names, a tenth of a step
        for joint in self.joints:
            first, second = by_name[joint.first], by_name[joint.second]
            self._pin(pymunk.PivotJoint(first, second, joint.on_first_m, joint.on_second_m))
            if joint.driven:
                self.gears.append(pymunk.GearJoint(first, second, 0.0, 1.0))
                self._pin(self.gears[-1])
        self.carrier = None
        if self.carried_kg:
            self.carrier = pymunk.PivotJoint(bodies[0], bodies[-1], (0.0, 0.0), (0.0, 0.0))
            self._pin(self.carrier)
        self._buffers(batch)

    def _pin(self, constraint) -> None:
        constraint.error_bias = 0.0  # the whole error is taken back within one step
        constraint.collide_bodies = False
        self.space.add(constraint)

    def guide(self) -> None:
        """Hold height and slope of the first rod to what a drive gives; only its way forward stays free."""
        import pymunk

        rail, first = pymunk.Body(body_type=pymunk.Body.STATIC), self.bodies[0]  # no body of the space
        self.rail = pymunk.GrooveJoint(rail, first, (-RAIL_M, 0.0), (RAIL_M, 0.0), (0.0, 0.0))
        self.rail_slope = pymunk.GearJoint(rail, first, 0.0, 1.0)
        self._pin(self.rail)
        self._pin(self.rail_slope)

    def to_rail(self, height_m: float, slope_rad: float) -> None:
        """Height and slope that the first rod must have at the next step. [m], [rad]"""
        self.rail.groove_a, self.rail.groove_b = (-RAIL_M, height_m), (RAIL_M, height_m)
        self.rail_slope.phase = slope_rad

    def _buffers(self, batch) -> None:
        fields = batch.BodyFields
        self._get, self._set = batch.get_space_bodies, batch.set_space_bodies
        self._state_fields = fields.POSITION | fields.ANGLE | fields.VELOCITY | fields.ANGULAR_VELOCITY
        self._force_fields = fields.FORCE | fields.TORQUE
        self.force = np.zeros((len(self.bodies), 3))
        self._read, self._write = batch.Buffer(), batch.Buffer()  # the engine grows and owns the first
        self._write.set_float_buf(self.force.reshape(-1))

    # ---- state

    def place(self, positions: np.ndarray, velocities: np.ndarray) -> None:
        """Set every body at time 0: x, z, angle and their rates, shapes (n_bodies, 3). [m], [rad], [m/s], [rad/s]

        The carried mass, if there is one, is the last body. The engine is set half a step (speeds) and one step
        (positions) earlier, which is where its own clock stands; free rods start with their exact acceleration.
        """
        positions, velocities = (np.array(values, float) for values in (positions, velocities))
        if positions.shape != (len(self.bodies), 3) or velocities.shape != positions.shape:
            raise InputError(f"place: expected shape ({len(self.bodies)}, 3), got {positions.shape}")
        if not (np.isfinite(positions).all() and np.isfinite(velocities).all()):
            raise InputError("place: expected finite positions and velocities")
        rate = np.zeros_like(velocities)
        for _ in range(START_ROUNDS if not self.joints else 0):
            force = self._water_forces(positions, velocities, rate)
            rate = force / np.column_stack([self._moved, self._moved, self._turned])
        velocities = velocities - 0.5 * self.step_s * rate
        positions = positions - self.step_s * velocities
        for body, (x, z, angle), (u, w, turn) in zip(self.bodies, positions, velocities, strict=True):
            body.position, body.angle = (float(x), float(z)), float(angle)
            body.velocity, body.angular_velocity = (float(u), float(w)), float(turn)
        self._before = velocities - self.step_s * rate
        self._last = rate

    @property
    def speed_m_s(self) -> float:
        """Forward speed of the first rod at the next instant. [m/s]"""
        speed = self.bodies[0].velocity.x
        return speed + 0.5 * (2 * (speed - self._before[0, 0]) - self.step_s * self._last[0, 0])

    @property
    def moved_along_kg(self) -> float:
        """Mass that a level push moves, with what is added along the rods. [kg]"""
        return float(self.mass.sum() + self.carried_kg + sum(rod.added_along_kg for rod in self.rods))

    def add_speed(self, speed_m_s: float) -> None:
        """Give every body the same forward speed more, at once. [m/s]"""
        for body in self.bodies:
            body.velocity += (float(speed_m_s), 0.0)
        self._before[:, 0] += speed_m_s

    def run(self, steps: int, *, drive: Drive | None = None) -> np.ndarray:
        """Move on by whole steps.

        Parameters
        ----------
        steps : int
        drive : Drive, optional
            Angles of the driven joints, place of the carried mass and loads at every step.

        Returns
        -------
        numpy.ndarray, shape (steps, 6)
            The first rod at times 0, 1, 2 ... steps from where it stands: x, z, angle, and their rates.
            [m], [rad], [m/s], [rad/s]
        """
        out = np.empty((steps, 6))
        for i in range(steps):
            out[i] = self._one_step(i, drive)
        return out

    def _one_step(self, i: int, drive: Drive | None) -> np.ndarray:
        step = self.step_s
        self._read.clear()
        self._get(self.space, self._state_fields, self._read)
        state = np.frombuffer(self._read.float_buf()).reshape(-1, 6)
        velocity = state[:, 3:]
        rate = (velocity - self._before) / step
        self._before[...] = velocity
        guess = 2 * rate - self._last
        self._last = rate
        # the engine moves the positions first, so the forces belong to the positions after that
        place = state[:, :3] + step * velocity
        now = velocity + 0.5 * step * guess
        force = self._water_forces(place, now, guess)
        first = np.concatenate([place[0], now[0]])
        if drive is not None:
            force[0] += drive.load(i, first)
            drive.set_targets(i, self)
        self._set(self.space, self._force_fields, self._write)
        self.space.step(step)
        return first

    def _water_forces(self, place: np.ndarray, velocity: np.ndarray, rate: np.ndarray) -> np.ndarray:
        """Force and torque on every body; fills the buffer that is handed to the engine."""
        count, force = self.count, self.force
        sine, cosine = np.sin(place[:count, 2]), np.cos(place[:count, 2])
        across_rate = cosine * rate[:count, 1] - sine * rate[:count, 0]
        along_rate = cosine * rate[:count, 0] + sine * rate[:count, 1]
        table = np.empty((2 * count, 3))
        table[:count, 0], table[count:, 0] = place[:count, 1], sine
        table[:count, 1] = cosine * velocity[:count, 1] - sine * velocity[:count, 0]
        table[count:, 1], table[:count, 2], table[count:, 2] = (
            velocity[:count, 2],
            across_rate,
            rate[:count, 2],
        )
        height, across, gain = (self.spread @ table).T
        depth = np.minimum(np.maximum(-height * self.per_half, -1.0), 1.0)
        under = 0.5 + (depth * np.sqrt(1.0 - depth * depth) + np.arcsin(depth)) * (1 / np.pi)
        push = np.empty((len(under), 2))
        push[:, 0] = -under * (self.cross * np.abs(across) * across + self.added * gain)
        push[:, 1] = under * self.lift
        sums = self.gather @ push
        across_force = sums[:count, 0] + self.deep * across_rate
        along_force = self.not_along * along_rate
        force[:count, 0] = cosine * along_force - sine * across_force
        force[:count, 1] = sine * along_force + cosine * across_force + sums[:count, 1]
        force[:count, 2] = sums[count:, 0] + cosine * sums[count:, 1] + self.deep_turn * rate[:count, 2]
        force[count:] = 0.0
        force[:, 1] -= self.weights
        speed = float(velocity[0, 0])
        force[0, 0] -= self.drag[0] * abs(speed) ** (self.drag[1] - 1) * speed
        return force
