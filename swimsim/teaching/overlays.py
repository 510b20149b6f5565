"""Which lines, arcs, spans and curves show a fault: those of arm, roll and body in one place."""

from __future__ import annotations

from ..faults.catalogue import FaultSetting, fault_of
from ..ground.conventions import EVENTS
from ..ground.records import Drawn, Gauge
from ..scenario.play import Swum
from .arm_overlays import ARM, wide_on_the_breath
from .body_overlays import BODY
from .geometry import Points
from .roll_overlays import ROLL


def drawn_for(swum: Swum, setting: FaultSetting, *, side: str, key: float) -> tuple[Drawn, ...]:
    """What is drawn over one swimmer for one fault.

    Parameters
    ----------
    side : {"left", "right"}
        The arm, or the side that is up.
    key : float
        Cycle share of the key instant of this swimmer.

    Returns
    -------
    tuple of Drawn
        From back to front.
    """
    body, seen = Points(swum, side), seen_like(setting)
    if seen in EVENTS:
        return ()  # a matter of time, not of place
    if seen in ROLL:
        return ROLL[seen].drawn(body, key)
    if setting.fault in BODY:
        return BODY[setting.fault](body, key)
    if setting.fault == "wide_pull" and setting.strokes == "breathing":
        return wide_on_the_breath(body, key)
    return ARM[seen](body, key)


def gauge_for(swum: Swum, setting: FaultSetting, *, side: str) -> Gauge | None:
    """The curves beside one swimmer, for a fault of the roll."""
    seen = seen_like(setting)
    return ROLL[seen].gauge(Points(swum, side)) if seen in ROLL else None


def seen_like(setting: FaultSetting) -> str:
    """The fault whose lines and key instant show this one, or the event at which it is seen.

    A left-right difference is drawn as what differs: of the shoulder roll as too much of it is.
    """
    return fault_of(setting).row.get("seen_like", setting.fault)
