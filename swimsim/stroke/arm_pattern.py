"""One arm's stroke as data, and how a parameter of a pattern is described: unit by its name, range and meaning."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass, field

DEG = math.pi / 180


def setting(low: float, high: float, says: str, *, aimed: bool = False, default=dataclasses.MISSING):
    """A parameter that shapes the motion directly, between `low` and `high`."""
    return field(default=default, metadata={"low": low, "high": high, "says": says, "target": aimed})


def target(low: float, high: float, says: str, *, default=dataclasses.MISSING):
    """A parameter that the motion is solved for."""
    return setting(low, high, says, aimed=True, default=default)


@dataclass(frozen=True)
class ArmPattern:
    """One arm's stroke in one breath state."""

    entry_catch_share: float = target(0.10, 0.55, "entry to the start of backward movement")
    pull_share: float = target(0.12, 0.35, "start of backward movement to the shoulder plane")
    push_share: float = target(0.07, 0.35, "shoulder plane to exit")
    release_share: float = target(0.02, 0.09, "end of backward movement to exit")
    lead_hand_still_share: float = target(
        0.0, 0.45, "how long the lead hand lies still; 0 leaves it to the rest of the stroke"
    )
    lead_hand_wait_share: float = setting(0.0, 0.40, "wait put into the stroke at the extension point")
    entry_line_m: float = target(-0.60, 0.50, "hand line at entry, + outside the own shoulder line")
    extension_line_m: float = setting(-0.60, 0.50, "hand line at the extension point")
    pull_line_m: float = target(-0.15, 0.50, "greatest hand line in the pull")
    mid_pull_line_m: float = target(-0.30, 0.40, "hand line at the shoulder plane")
    finish_line_m: float = setting(-0.20, 0.20, "hand line at the end of backward movement")
    hand_depth_m: float = target(0.30, 1.10, "greatest depth of the knuckles")
    exit_past_hip_m: float = target(-0.40, 0.25, "knuckles past the own hip joint at exit")
    elbow_at_entry_rad: float = target(100 * DEG, 172 * DEG, "elbow angle at entry")
    elbow_at_extension_rad: float = setting(130 * DEG, 177 * DEG, "elbow angle at the extension point")
    elbow_at_30cm_depth_rad: float = target(115 * DEG, 177 * DEG, "elbow angle with the hand 30 cm deep")
    elbow_at_shoulder_plane_rad: float = target(75 * DEG, 172 * DEG, "elbow angle at the shoulder plane")
    forearm_slope_at_45_rad: float = target(
        10 * DEG, 85 * DEG, "forearm slope with the upper arm at 45 degrees"
    )
    palm_at_hip_line_rad: float = target(0.0, 100 * DEG, "palm normal from straight back at the hip line")
    palm_turn_lead_share: float = setting(0.02, 0.15, "how long before the hip line a palm turn begins")
    palm_out_at_entry_rad: float = target(
        -30 * DEG, 100 * DEG, "palm turned outward about the forearm at entry"
    )
    elbow_above_wrist_m: float = target(-0.40, 0.35, "elbow above wrist half-way through recovery")
    elbow_at_mid_recovery_rad: float = target(45 * DEG, 176 * DEG, "elbow angle half-way through recovery")
    recovery_pole_rad: float = setting(
        -60 * DEG, 80 * DEG, "elbow direction above outward half-way through recovery"
    )
    entry_pole_rad: float = setting(
        -60 * DEG, 80 * DEG, "elbow direction above outward late in recovery and at entry"
    )
    wrist_extension_rad: float = setting(0.0, 45 * DEG, "wrist extension late in the push")
    catch_depth_m: float = setting(0.15, 0.80, "depth of the knuckles at the start of backward movement")
    catch_pole_rad: float = setting(
        -60 * DEG, 80 * DEG, "elbow direction above outward as the hand starts back"
    )
    mid_pull_pole_rad: float = setting(
        -40 * DEG, 60 * DEG, "elbow direction above outward at the shoulder plane"
    )
    entry_delay_share: float = field(
        default=0.0,
        metadata={"low": -0.05, "high": 0.05, "says": "entry later than the even beat", "target": False},
    )

    @property
    def recovery_share(self) -> float:
        """Exit to the next entry; the four shares sum to 1."""
        return 1.0 - self.entry_catch_share - self.pull_share - self.push_share
