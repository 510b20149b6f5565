"""What is left between measures and targets of one arm, in an exact and a quick form.

The exact form finds every instant (hand 30 cm deep, upper arm at 45 degrees, hip line) and every greatest value
in the motion. The quick form takes the instants as unknowns beside the curve points, so that one evaluation
of the arm at all places is enough; the solver uses it and the exact form checks the result.
"""

from __future__ import annotations

import dataclasses

import numpy as np

from .arm import ArmPoints
from .arm_motion import HALF_RIGHT, ArmMotion, angle_between, palm_out, side_slope
from .plan import UNKNOWNS, ArmPlan
from .still import still_speed, still_stretch
from .waiting import borrowed_in

WAIT = [target for _, _, target in UNKNOWNS].index("lead_hand_still_share")
STEP = 1e-5  # half step of the central difference for the speed of the knuckles [cycle]
SPEED_POINTS = ("start_backward", "end_backward", "deep", "early_pull")
INSTANTS = ("at_30", "at_45", "at_hip", "still_from", "still_to")
STILL = ("still_from", "still_to")


def exact(arm: ArmMotion, plan: ArmPlan) -> np.ndarray:
    """Measure minus target for every unknown and cycle, shape (n_unknowns, period). [m or rad]"""
    t = plan.times
    entry, plane, out = t["entry"], t["shoulder_plane"], t["exit"]
    start, end = t["start_backward"], t["end_backward"]
    found = find_instants(arm, plan)
    palm_at = np.fmin(np.nan_to_num(found["at_hip"], nan=np.inf), end)
    p = arm.points(plane)
    value = {
        "elbow_at_entry_rad": arm.elbow_angle(entry),
        "elbow_at_extension_rad": arm.elbow_angle(t["extension"]),
        "elbow_at_30cm_depth_rad": arm.elbow_angle(found["at_30"]),
        "knuckles at the shoulder plane": p.knuckles[0] - p.shoulder[0],
        "exit_past_hip_m": arm.past_hip(out),
        "knuckles still at the start of backward movement": arm.knuckle_speed(start),
        "knuckles still at the end of backward movement": arm.knuckle_speed(end),
        # These two are means to an end: that the greatest values lie there is held by the values themselves.
        "hand deepest at its deep point": np.zeros(plan.period),
        "hand widest at its early-pull point": np.zeros(plan.period),
        "fingertip at the surface": arm.points(entry).fingertip[2],
        "hand_depth_m": arm.greatest_depth(entry, out)[1],
        "elbow_at_shoulder_plane_rad": arm.elbow_angle(plane),
        "hand at the surface": arm.lowest_of_hand(out),
        "elbow_above_wrist_m": _rise(arm.points(t["mid_recovery"])),
        "pull_line_m": arm.greatest_line(start, plane)[1],
        "forearm_slope_at_45_rad": arm.forearm_slope(found["at_45"]),
        "palm_at_hip_line_rad": arm.palm_angle(palm_at),
        "elbow_at_mid_recovery_rad": arm.elbow_angle(t["mid_recovery"]),
        "palm_out_at_entry_rad": palm_out(arm.points(entry), arm.sign),
        "lead_hand_still_share": _still(arm, plan, found),
    }
    return _minus_targets(value, plan)


def find_instants(arm: ArmMotion, plan: ArmPlan) -> dict[str, np.ndarray]:
    """First instants after entry of INSTANTS; NaN where there is none. [cycle]"""
    t = plan.times
    early = t["entry"] + 0.3 * (t["extension"] - t["entry"])
    still_from, still_to = still_stretch(arm, t["entry"], t["start_backward"])
    return {
        "still_from": still_from,
        "still_to": still_to,
        "at_30": arm.deep_30(t["entry"], t["shoulder_plane"]),
        "at_45": arm.upper_arm_45(early, t["end_backward"]),
        "at_hip": arm.hip_line(t["shoulder_plane"], t["end_backward"]),
    }


def _still(arm: ArmMotion, plan: ArmPlan, at: dict[str, np.ndarray]) -> np.ndarray:
    """Share of the cycle that the lead hand lies still; 0 where no target steers it, NaN where none may."""
    lasts = (at["still_to"] - at["still_from"]) / plan.clock.lengths
    return np.where(plan.steered, np.where(plan.clock.may_borrow(borrowed_in(arm)), lasts, np.nan), 0.0)


def _rise(p) -> np.ndarray:
    return p.elbow[2] - p.wrist[2]


def _picked(p: ArmPoints, at: slice) -> ArmPoints:
    return ArmPoints(*(getattr(p, f.name)[:, at] for f in dataclasses.fields(p)))


def _minus_targets(value: dict[str, np.ndarray], plan: ArmPlan) -> np.ndarray:
    rows = [
        value[target] - np.array([getattr(a, target, 0.0) for a in plan.arms]) for _, _, target in UNKNOWNS
    ]
    return np.stack(rows)


class Quick:
    """Residuals of curve unknowns and instants together, one evaluation of the arm each.

    Parameters
    ----------
    arm_of : callable
        Makes an ArmMotion from unknowns (n_unknowns, period).
    """

    def __init__(self, arm_of, plan: ArmPlan) -> None:
        self.arm_of, self.plan = arm_of, plan
        self.shape = plan.first.shape
        self.asked = np.array([arm.lead_hand_still_share for arm in plan.arms])
        half = self.asked * plan.clock.lengths / 2
        middle = plan.times["extension"]
        self.stretch = {"still_from": middle - half, "still_to": middle + half}
        self.steer(True)
        self.first = self.from_first_instants(plan.first)
        self._fixed_places()

    def steer(self, on: bool) -> None:
        """Whether the time that the lead hand lies still is steered where the pattern asks for one."""
        self.steered = (self.asked > 0) & on

    def _still(self, instants: np.ndarray, borrowed: np.ndarray) -> np.ndarray:
        """Share of the cycle that the hand lies still; where it is not steered nothing is to be borrowed for it."""
        lasts = (instants[-1] - instants[-2]) / self.plan.clock.lengths
        return np.where(self.steered, lasts, self.asked + borrowed)

    def from_first_instants(self, unknowns: np.ndarray) -> np.ndarray:
        """Unknowns and the first instants found in that motion, flat: a start for the solver."""
        t = self.plan.times
        found = find_instants(self.arm_of(unknowns), self.plan)
        self.hand_leaves_first = ~(found["at_hip"] < t["end_backward"])
        pull = t["shoulder_plane"] - t["start_backward"]
        guess = {
            "at_30": t["start_backward"] - 0.02,
            "at_45": t["start_backward"] + 0.4 * pull,
            "at_hip": t["end_backward"],
        }
        guess |= self.stretch
        found |= {k: np.where(self.steered, found[k], guess[k]) for k in STILL}
        return np.concatenate(
            [unknowns.ravel(), *(np.where(np.isnan(found[k]), guess[k], found[k]) for k in INSTANTS)]
        )

    def _fixed_places(self) -> None:
        t = self.plan.times
        names = ("entry", "extension", "early_pull", "deep", "shoulder_plane", "exit", "mid_recovery")
        blocks = {name: t[name] for name in names}
        for point in SPEED_POINTS:
            blocks |= {f"{point}-": t[point] - STEP, f"{point}+": t[point] + STEP}
        ends = np.cumsum([len(b) for b in blocks.values()])
        self.pick = {k: slice(e - len(b), e) for (k, b), e in zip(blocks.items(), ends, strict=True)}
        self.places = np.concatenate(list(blocks.values()))

    def split(self, x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Curve unknowns (n_unknowns, period) and instants (3, period)."""
        count = self.shape[0] * self.shape[1]
        return x[:count].reshape(self.shape), x[count:].reshape(len(INSTANTS), -1)

    def __call__(self, x: np.ndarray) -> np.ndarray:
        """Residuals of all unknowns, flat. [m, rad or cycle]"""
        unknowns, instants = self.split(x)
        arm, plan, n = self.arm_of(unknowns), self.plan, self.shape[1]
        edges = instants[-len(STILL) :].ravel()
        own = np.concatenate([self.places, instants.ravel(), edges - STEP, edges + STEP])
        lines = arm.frame.lines(arm.time(own))
        p = arm.points_with(own, lines)
        elbow = angle_between(p.shoulder - p.elbow, p.wrist - p.elbow)
        past = (
            lines.pelvis[0] + arm.sign * (arm.frame.body.hip_width_m / 2) * lines.hip_line[0] - p.knuckles[0]
        )
        base = len(self.places)
        at = dict(self.pick)
        at |= {name: slice(base + i * n, base + (i + 1) * n) for i, name in enumerate(INSTANTS)}
        lowest = np.minimum(np.minimum(p.fingertip[2], p.knuckles[2]), p.wrist[2])
        line = arm.sign * p.knuckles[1] - arm.frame.body.shoulder_width_m / 2
        palm = p.palm[:, at["at_hip"]]
        speed = {
            k: (p.knuckles[:, at[f"{k}+"]] - p.knuckles[:, at[f"{k}-"]]) / (2 * STEP) for k in SPEED_POINTS
        }
        value = {
            "elbow_at_entry_rad": elbow[at["entry"]],
            "elbow_at_extension_rad": elbow[at["extension"]],
            "elbow_at_30cm_depth_rad": elbow[at["at_30"]],
            "knuckles at the shoulder plane": (p.knuckles[0] - p.shoulder[0])[at["shoulder_plane"]],
            "exit_past_hip_m": past[at["exit"]],
            "knuckles still at the start of backward movement": speed["start_backward"][0],
            "knuckles still at the end of backward movement": speed["end_backward"][0],
            "hand deepest at its deep point": speed["deep"][2],
            "hand widest at its early-pull point": speed["early_pull"][1],
            "fingertip at the surface": p.fingertip[2][at["entry"]],
            "hand_depth_m": -p.knuckles[2][at["deep"]],
            "elbow_at_shoulder_plane_rad": elbow[at["shoulder_plane"]],
            "hand at the surface": lowest[at["exit"]],
            "elbow_above_wrist_m": _rise(p)[at["mid_recovery"]],
            "pull_line_m": line[at["early_pull"]],
            "forearm_slope_at_45_rad": side_slope(p.elbow, p.wrist)[at["at_45"]],
            "palm_at_hip_line_rad": np.arctan2(np.hypot(palm[1], palm[2]), -palm[0]),
            "elbow_at_mid_recovery_rad": elbow[at["mid_recovery"]],
            "palm_out_at_entry_rad": palm_out(_picked(p, at["entry"]), arm.sign),
            "lead_hand_still_share": self._still(instants, unknowns[WAIT]),
        }
        hip = np.where(self.hand_leaves_first, instants[2] - plan.times["end_backward"], past[at["at_hip"]])
        upper = side_slope(p.shoulder, p.elbow)[at["at_45"]] - HALF_RIGHT
        before = (p.knuckles - lines.thorax)[::2, -2 * len(edges) :]
        moved = (before[:, len(edges) :] - before[:, : len(edges)]) / (2 * STEP)
        still = np.hypot(*moved) / still_speed(arm) - 1
        usual = edges - np.concatenate([self.stretch[k] for k in STILL])
        still = np.where(np.tile(self.steered, len(STILL)), still, usual)
        rest = np.concatenate([-0.30 - p.knuckles[2][at["at_30"]], upper, hip, still])
        return np.concatenate([_minus_targets(value, plan).ravel(), rest])
