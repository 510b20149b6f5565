"""What a planar swimmer (`dimensions = 2`) can show: what is read along the swimming direction and upwards."""

from __future__ import annotations

from ..faults.catalogue import FaultSetting, faults
from ..ground.errors import InputError
from ..motion.truth import needs_sideways
from . import models
from .cameras import views_of
from .severity import main_measure

SIDE_VIEWS = ("side_left", "side_right", "above_side")


def shows_in_plane(setting: FaultSetting) -> bool:
    """Whether a fault's main measure is the same in the swimming plane: no sideways part, no angle in space."""
    measure = main_measure(setting)
    return not needs_sideways(measure) and not measure.startswith("elbow_at")


def check_planar(scenario: models.Scenario) -> None:
    """Refuse faults and views that a planar swimmer cannot show, all at once.

    Raises
    ------
    InputError
    """
    if scenario.dimensions == 3:
        return
    able = [slug for slug in faults() if shows_in_plane(FaultSetting(slug, severity=0.5))]
    errors = [
        f"fault: expected one that shows in the swimming plane ({', '.join(able)}) with dimensions = 2, "
        f"got '{fault.fault}'; use dimensions = 3 for it"
        for fault in scenario.fault
        if not shows_in_plane(FaultSetting(fault.fault, severity=0.5, of=fault.of, strokes=fault.strokes))
    ]
    if not errors:
        errors = [
            f"views: expected side views ({', '.join(SIDE_VIEWS)}) with dimensions = 2, got '{view}'"
            for view in views_of(scenario)
            if view not in SIDE_VIEWS
        ]
    if scenario.stroke.speed_from == "water":
        errors.append(
            "speed_from: expected set with dimensions = 2, got 'water': the planar swimmer has no hands"
        )
    if errors:
        raise InputError("\n".join(errors))
