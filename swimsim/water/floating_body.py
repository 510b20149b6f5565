"""A swimmer's body as rods and pins, and the angles at which its limbs are driven."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..ground.conventions import JOINT_INDEX, SIDES
from ..ground.tables import read_toml
from ..swimmer.anthropometry import Body
from .body_plane import Rod
from .buoyancy import half_height, share_under
from .float_parts import TRUNK, Parts
from .float_posture import straight_body
from .floating_drive import Joint

#: Rod -> joints at its foot end and head end, which give its slope.
AXES = {
    "trunk": ("pelvis", "thorax"),
    "head": ("neck", "head_top"),
    **{
        f"{side}_{name}": (f"{side}_{low}", f"{side}_{high}")
        for side in SIDES
        for name, low, high in (("thigh", "knee", "hip"), ("shank", "ankle", "knee"), ("foot", "toe", "heel"))
    },
}
#: Driven rod -> the rod against which its angle is set, and the joint between them.
HANGS_ON = {
    "head": ("trunk", "neck"),
    **{f"{side}_thigh": ("trunk", f"{side}_hip") for side in SIDES},
    **{f"{side}_shank": (f"{side}_thigh", f"{side}_knee") for side in SIDES},
    **{f"{side}_foot": (f"{side}_shank", f"{side}_ankle") for side in SIDES},
}
NO_BREADTH_M = 1e-9
ARM_PARTS = ("upper_arm", "forearm", "hand")


def swimmer_rods(parts: Parts, body: Body, joints_m: np.ndarray) -> list[Rod]:
    """Trunk, head, thighs, shanks and feet as rods.

    The rolling trunk's height in the plane is its root mean square over the frames.

    Parameters
    ----------
    joints_m : numpy.ndarray, shape (n_frames, n_joints, 3)
        One period of the stroke. [m]
    """
    numbers = read_toml("float")
    straight = straight_body(body)
    height = np.sqrt((half_height(parts, joints_m) ** 2).mean(axis=0))
    breadth = parts.strip_area_m2 / (np.pi * height)
    centre = parts.at(straight, parts.centre[:, None])[0, :, 0, 0]
    strips = parts.at(straight, parts.strip_at)[0, :, :, 0]
    length = np.broadcast_to((parts.length_m / strips.shape[1])[:, None], strips.shape)
    rods = []
    for name in AXES:
        own = _own_parts(parts, name)
        mass, places = parts.mass_kg[own], centre[own]
        middle = float(np.average(places, weights=mass))
        cross = numbers["crossflow"]["foot" if name.endswith("foot") else "coefficient"]
        along = numbers["along"]["added_mass_share"] * body.mass_kg if name == "trunk" else 0.0
        rods.append(
            Rod(
                name,
                float(mass.sum()),
                float((parts.inertia_kg_m2[own] + mass * (places - middle) ** 2).sum()),
                *(
                    values[own].ravel()
                    for values in (strips - middle, length, parts.strip_area_m2, height, breadth)
                ),
                drag_coefficient=cross,
                added_along_kg=along,
            )
        )
    return rods


def still_drag(rods: list[Rod], joints_m: np.ndarray, water_kg_m3: float) -> float:
    """Drag over the square of speed of rods that go along, held still as they lie on average. [kg/m]

    Notes
    -----
    The body's drag was measured on bodies that slope as swimmers do, so it holds this already. The flow across a rod
    that slopes by s is speed times sin s, and of its force sin s holds back. [derived]
    """
    slope = slopes(joints_m)
    total = 0.0
    for rod in rods:
        sine = np.sin(slope[rod.name].mean())
        foot_end = rod.at_m.min() - rod.length_m[0] / 2
        height = joints_m[:, JOINT_INDEX[AXES[rod.name][0]], 2].mean() + (rod.at_m - foot_end) * sine
        area = 2 * rod.half_breadth_m * rod.length_m * share_under(-height, rod.half_height_m)
        total += 0.5 * water_kg_m3 * rod.drag_coefficient * area.sum() * abs(sine) ** 3
    return float(total)


def bare(rods: list[Rod]) -> list[Rod]:
    """The same rods without the water across them: they weigh, float and carry the mass added along, and no more."""
    return [
        replace(rod, drag_coefficient=0.0, half_breadth_m=np.full_like(rod.half_breadth_m, NO_BREADTH_M))
        for rod in rods
    ]


def _own_parts(parts: Parts, rod: str) -> list[int]:
    """Places of the parts that make up a rod."""
    return [i for i, name in enumerate(parts.names) if name == rod or (rod == "trunk" and name in TRUNK)]


def rod_centres(parts: Parts, body: Body) -> dict[str, float]:
    """Centre of mass of every rod along the straight body, from the hips to the head. [m]"""
    centre = parts.at(straight_body(body), parts.centre[:, None])[0, :, 0, 0]
    own = {name: _own_parts(parts, name) for name in AXES}
    return {name: float(np.average(centre[i], weights=parts.mass_kg[i])) for name, i in own.items()}


def swimmer_pins(parts: Parts, body: Body, joints_m: np.ndarray) -> list[Joint]:
    """Driven pins of neck, hips, knees and ankles.

    The hips sit on the middle line: what roll lifts on one side it lowers on the other. Where neck and ankle lie off
    their rod's axis, their mean place over the frames is taken.
    """
    centres = rod_centres(parts, body)
    straight = dict(zip(JOINT_INDEX, straight_body(body)[0, :, 0], strict=True))
    pins = []
    for second, (first, joint) in HANGS_ON.items():
        ends = [(straight[joint] - centres[rod], 0.0) for rod in (first, second)]
        if joint == "neck":
            ends[0] = _mean_place(joints_m, first, joint, origin=-centres["trunk"])
        elif joint.endswith("ankle"):
            toe = straight[joint.replace("ankle", "toe")]
            ends[1] = _mean_place(joints_m, second, joint, origin=toe - centres[second])
        pins.append(Joint(first, second, *ends, driven=True))
    return pins


def _mean_place(joints_m: np.ndarray, rod: str, joint: str, *, origin: float) -> tuple[float, float]:
    """Mean place of a joint in a rod's frame; `origin` is where the rod's foot end lies in it. [m]"""
    along, square = in_frame(joints_m, rod, joints_m[:, JOINT_INDEX[joint], None])[:, 0].T
    return float(along.mean()) + origin, float(square.mean())


def slopes(joints_m: np.ndarray) -> dict[str, np.ndarray]:
    """Slope of every rod in the swimming plane, positive with the head end higher. [rad]"""
    out = {}
    for rod, (low, high) in AXES.items():
        way = joints_m[:, JOINT_INDEX[high]] - joints_m[:, JOINT_INDEX[low]]
        out[rod] = np.unwrap(np.arctan2(way[:, 2], way[:, 0]))
    return out


def driven_angles(joints_m: np.ndarray) -> np.ndarray:
    """Angle of every driven rod against its neighbour, shape (n_frames, n_driven). [rad]"""
    slope = slopes(joints_m)
    return np.column_stack([slope[rod] - slope[first] for rod, (first, _) in HANGS_ON.items()])


def in_frame(joints_m: np.ndarray, rod: str, points_m: np.ndarray) -> np.ndarray:
    """Points (n_frames, k, 3) along a rod and square to it from its foot end, shape (n_frames, k, 2). [m]"""
    low = joints_m[:, None, JOINT_INDEX[AXES[rod][0]]]
    slope = slopes(joints_m)[rod][:, None]
    x, z = points_m[..., 0] - low[..., 0], points_m[..., 2] - low[..., 2]
    sine, cosine = np.sin(slope), np.cos(slope)
    return np.stack([cosine * x + sine * z, cosine * z - sine * x], axis=-1)
