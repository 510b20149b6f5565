"""A way to see a swim: a condition, changed or not, and a view."""

from __future__ import annotations

from dataclasses import dataclass

from ..ground.errors import InputError
from ..view.conditions import Condition, make_condition

POINTS = "3d"  # joint positions in space, with noise of the size of the condition's pixels
BEST = "best"  # the view that shows a fault best


@dataclass(frozen=True)
class Way:
    """A condition and a view, by name."""

    condition: str
    view: str


def condition_of(text: str) -> Condition:
    """A condition by name, and what differs from it: `pool deck + rate_hz=60 + noise_px=3`.

    Raises
    ------
    InputError
        No such condition or setting, or a value that does not fit.
    """
    name, *changes = (part.strip() for part in text.split("+"))
    settings = {}
    for change in changes:
        key, _, value = change.partition("=")
        try:
            settings[key.strip()] = float(value)
        except ValueError as error:
            raise InputError(f"condition '{text}': expected key=number after +, got '{change}'") from error
    return make_condition({"like": name, **settings, "name": text} if settings else {"like": name})
