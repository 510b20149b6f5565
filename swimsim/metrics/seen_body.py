"""Where the joints of a body stretched out at the surface lie along the axis that one camera does not show."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ..ground.conventions import SIDES
from ..ground.tables import read_toml
from .seen_views import View

STATURE_M = 1.75  # where nobody says how tall the swimmer is (choice of ours)
BODY_DEPTH_M = 0.08  # of hips and shoulders below the surface, for views from below or above (choice of ours)


def body_share(name: str) -> float:
    """A size of the body as share of stature."""
    return float(read_toml("seen")["body"][name])


def body_levels(names: tuple[str, ...], view: View, stature_m: float) -> np.ndarray:
    """Where each joint lies along the axis that is not seen, for a body stretched out at the surface. [m]"""
    table = {"side": _sideways, "front": _along, "below": _upright}[view.kind]()
    return np.array([stature_m * table.get(name, 0.0) for name in names]) - (
        BODY_DEPTH_M if view.kind == "below" else 0.0
    )


def _paired(parts: Mapping[str, float], *, sided: bool) -> dict[str, float]:
    return {
        f"{s}_{part}": v * (1 if s == "left" or not sided else -1) for part, v in parts.items() for s in SIDES
    }


def _sideways() -> dict[str, float]:
    """y of each joint as share of stature."""
    arm = dict.fromkeys(
        ("shoulder", "elbow", "wrist", "knuckles", "fingertip", "thumb_tip"),
        body_share("half_shoulder_width"),
    )
    leg = dict.fromkeys(("hip", "knee", "ankle", "heel", "toe"), body_share("half_hip_width"))
    head = dict.fromkeys(("eye", "ear"), body_share("half_head_width"))
    return _paired({**arm, **leg, **head}, sided=True)


def _along() -> dict[str, float]:
    """x of each joint ahead of the mid-hip as share of stature; arms hang from the shoulder until they are set."""
    share = {name: body_share(name) for name in ("trunk", "neck", "head", "thigh", "shank", "foot")}
    neck = share["trunk"] + share["neck"]
    arm = dict.fromkeys(("shoulder", "elbow", "wrist", "knuckles", "fingertip", "thumb_tip"), share["trunk"])
    ankle = -share["thigh"] - share["shank"]
    legs = {"hip": 0.0, "knee": -share["thigh"], "ankle": ankle, "heel": ankle, "toe": ankle - share["foot"]}
    face = dict.fromkeys(("eye", "ear"), neck + share["head"] / 2)
    middle = {"thorax": share["trunk"], "neck": neck, "head_top": neck + share["head"]}
    return {
        **_paired({**arm, **legs, **face}, sided=False),
        **middle,
        "nose": neck + 0.36 * share["head"],
        "chin": neck,
    }


def _upright() -> dict[str, float]:
    return {}
