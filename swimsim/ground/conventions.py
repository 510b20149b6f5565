"""Names and conventions that both sides share.

World frame: x in the swimming direction, y to the swimmer's left, z up; the still water surface is z = 0.
SI units and radians inside; degrees only at doors. Time 0 is the right-hand entry with mid-hip at x = y = 0.
Roll is positive when the left side is up. Left and right are the swimmer's.
"""

from __future__ import annotations

SIDES = ("left", "right")

_LIMB_JOINTS = (
    "shoulder", "elbow", "wrist", "knuckles", "fingertip", "thumb_tip",
    "hip", "knee", "ankle", "heel", "toe", "eye", "ear",
)  # fmt: skip
_MIDLINE_JOINTS = ("head_top", "nose", "chin", "neck", "thorax", "pelvis")

#: Every joint of a full trace, in file order.
JOINTS = tuple(f"{side}_{name}" for side in SIDES for name in _LIMB_JOINTS) + _MIDLINE_JOINTS
JOINT_INDEX = {name: i for i, name in enumerate(JOINTS)}

#: Pairs of joints whose distance a rigid bone holds.
BONES = tuple(
    (f"{side}_{a}", f"{side}_{b}")
    for side in SIDES
    for a, b in (
        ("shoulder", "elbow"), ("elbow", "wrist"), ("wrist", "knuckles"), ("knuckles", "fingertip"),
        ("wrist", "thumb_tip"), ("hip", "knee"), ("knee", "ankle"), ("ankle", "heel"), ("ankle", "toe"),
        ("heel", "toe"),
    )
) + (
    ("left_hip", "right_hip"), ("pelvis", "thorax"), ("neck", "head_top"), ("neck", "chin"), ("neck", "nose"),
)  # fmt: skip

#: Lines that a stick figure draws.
STICKS = tuple(
    (f"{side}_{a}", f"{side}_{b}")
    for side in SIDES
    for a, b in (
        ("shoulder", "elbow"), ("elbow", "wrist"), ("wrist", "knuckles"), ("knuckles", "fingertip"),
        ("hip", "knee"), ("knee", "ankle"), ("ankle", "toe"), ("ankle", "heel"), ("shoulder", "hip"),
    )
) + (
    ("left_shoulder", "right_shoulder"), ("left_hip", "right_hip"), ("thorax", "neck"), ("neck", "head_top"),
)  # fmt: skip

#: Events of one arm cycle, in order. The hand point is the knuckles.
EVENTS = ("entry", "start_backward", "shoulder_plane", "end_backward", "exit")
EVENT_RULES = {
    "entry": "fingertip_below_surface",
    "start_backward": "knuckles_dx_dt_below_zero",
    "shoulder_plane": "knuckles_pass_own_shoulder",
    "end_backward": "knuckles_dx_dt_above_zero",
    "exit": "last_of_hand_above_surface",
}
EVENT_RULES_NAMED = {"exit": {"wrist_exit": "wrist_above_surface"}}

#: A hand slower against the body than this share of the swimmer's own speed lies still: at 1.5 m/s it moves less
#: than 5 cm in a fifth of a second, which a coach sees as no movement between two frames (choice of ours).
STILL_SHARE = 1 / 6

#: What bends the rays before the lens of a camera, see `records.Camera`.
REFRACTIONS = ("none", "flat_port", "surface")

MODEL_LINE = "Generated model, not a real person."
CAUTION_LINE = (
    "Stop if you feel pain, numbness or dizziness and see a licensed clinician. Breathe freely: never "
    "over-breathe or hold your breath. Practise only in a lifeguarded pool, by its rules."
)


def other_side(side: str) -> str:
    """`left` for `right` and the other way round."""
    return "right" if side == "left" else "left"


def side_sign(side: str) -> float:
    """+1 for the left, -1 for the right: multiplies an outward distance to give y."""
    return 1.0 if side == "left" else -1.0
