"""Keys of one table that must go together. Each check raises ValueError with `key: expected ..., got ...`."""

from __future__ import annotations

import re
from collections.abc import Iterable

from ..ground.errors import nearest

OWN_CAMERA = re.compile(r"camera_[1-8]")


def one_size(severity: float | None, amount: float | None, word: str | None, *, unit: str | None) -> None:
    """A fault has exactly one of severity, amount and word; an amount has a unit and nothing else has."""
    given = [n for n, v in (("severity", severity), ("amount", amount), ("word", word)) if v is not None]
    if len(given) != 1:
        got = " and ".join(given) or "none of them"
        raise ValueError(f"severity: expected exactly one of severity, amount and word, got {got}")
    if (amount is None) != (unit is None):
        got = "an amount without a unit" if unit is None else f"unit '{unit}' without an amount"
        raise ValueError(f"unit: expected amount and unit together, got {got}")


def one_way_to_place(
    view: str | None, position: list | None, aim: list | None, *, field_deg: float | None
) -> None:
    """A camera is a named view, or has a position, an aim and a field, never both."""
    own = {"position_m": position, "aim_m": aim, "field_deg": field_deg}
    given = [name for name, value in own.items() if value is not None]
    if view is not None and given:
        raise ValueError(f"view: expected a view or {', '.join(own)}, got both (view and {given[0]})")
    if view is None and len(given) != len(own):
        lacking = next(name for name in own if name not in given)
        raise ValueError(f"{lacking}: expected a view, or all of {', '.join(own)}, got no {lacking}")
    if given and max(abs(p - a) for p, a in zip(position, aim, strict=True)) < 1e-6:
        raise ValueError("aim_m: expected a point other than position_m, got the same")


def breathing_agrees(side: str | None, every: int | None) -> None:
    """No breath has no side, and a side has breaths."""
    if side == "none" and every:
        raise ValueError(f"side: expected left or right with every = {every}, got none")
    if side in ("left", "right") and every == 0:
        raise ValueError(f"every: expected 1, 2, 3, 4 or 6 with side = '{side}', got 0")


def views_exist(views: list[str] | None, known: Iterable[str]) -> None:
    """Every view has a known name or is a camera of one's own, and none comes twice."""
    for view in views or ():
        if view not in known and not OWN_CAMERA.fullmatch(view):
            raise ValueError(f"views: expected known views or camera_1, got '{view}'; {nearest(view, known)}")
        if views.count(view) > 1:
            raise ValueError(f"views: expected each view once, got '{view}' {views.count(view)} times")


def size_fits(size: list[int], *, least: tuple[int, int]) -> None:
    """A picture is large enough to read, and even, as the clip format needs."""
    if size[0] < least[0] or size[1] < least[1]:
        raise ValueError(
            f"size: expected at least {least[0]} by {least[1]} pixels, got {size[0]} by {size[1]}"
        )
    if size[0] % 2 or size[1] % 2:
        raise ValueError(f"size: expected even numbers of pixels, got {size[0]} by {size[1]}")


def refraction_fits(refraction: str, port_m: float | None, *, height_m: float) -> None:
    """A flat port is under water, and a camera that looks through the surface is in the air."""
    if refraction == "flat_port" and height_m >= 0:
        raise ValueError(
            "refraction: expected none or surface for a camera in the air, got 'flat_port', "
            "which is for a camera under water"
        )
    if refraction == "surface" and height_m <= 0:
        raise ValueError(
            "refraction: expected none or flat_port for a camera under water, got 'surface', "
            "which is for a camera in the air"
        )
    if port_m is not None and refraction != "flat_port":
        raise ValueError(f"port_m: expected refraction = 'flat_port' with it, got '{refraction}'")


def one_speed(slow: float | None, speeds: list[float] | None) -> None:
    """`slow` is the speed of a clip of one stretch; with more speeds it can only be 1."""
    if slow is None or speeds is None:
        return
    if slow != (speeds[0] if len(speeds) == 1 else 1):
        said = ", ".join(f"{speed:g}" for speed in speeds)
        raise ValueError(f"slow: expected slow or speeds, got both (slow = {slow:g}, speeds = [{said}])")
