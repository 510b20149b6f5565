"""Which coordinates a camera shows, and which measures can be read from them: data in `shared/seen.toml`."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..ground.records import Camera
from ..ground.tables import read_toml

KINDS = ("front", "side", "below")  # by the axis that is not seen: x, y, z
_SEEN = {"side": "xz", "front": "yz", "below": "xy"}
_LENGTHS = ("m", "cm", "m/s")
NO_SCALE = "no scale: give the length of the body or of a lane line"


@dataclass(frozen=True)
class View:
    """How a camera looks at the swimmer.

    Parameters
    ----------
    kind : {"side", "front", "below"}
        Beside the lane, along it (front or rear), or upright (below or above).
    hidden : int
        The world axis that is not seen.
    towards : float
        +1 where the lens looks along that axis, -1 against it.
    above : bool
        Whether the camera is above the surface.
    """

    kind: str
    hidden: int
    towards: float
    above: bool

    @property
    def axes(self) -> str:
        """The coordinates that are seen, such as `xz`."""
        return _SEEN[self.kind]


def view_of(camera: Camera) -> View:
    """How a camera looks at the swimmer, from its lens axis and its height."""
    sight = camera.rotation[2]
    hidden = int(np.argmax(np.abs(sight)))
    return View(KINDS[hidden], hidden, float(np.sign(sight[hidden])), bool(camera.position_m[2] > 0))


def readable(key: str, view: View) -> tuple[str | None, bool]:
    """Why a measure cannot be read from a view (None if it can), and whether it is an angle in space."""
    row = read_toml("seen")["measure"].get(key)
    if row is None:
        return "not known to be readable from one camera", False
    where = "above" if view.above else "under water"
    if row["water"] == ("under" if view.above else "above"):
        parts = "under water" if view.above else "above the surface"
        return f"read from parts {parts}, which a camera {where} does not show truly", False
    if not row["axes"] or any(set(axes) <= set(view.axes) for axes in row["axes"]):
        return None, False
    if set(row.get("as_seen", "-")) <= set(view.axes):
        return None, True
    need = " or ".join(" and ".join(axes) for axes in row["axes"])
    return f"needs {need}; a {_words(view)} shows {' and '.join(view.axes)}", False


def told_events(view: View) -> tuple[str, ...]:
    """Events that a view shows: the hand at the surface needs height, its way back needs x and a camera under water."""
    at_surface = ("entry", "exit") if "z" in view.axes else ()
    under_way = ("start_backward", "shoulder_plane", "end_backward")
    return at_surface + (under_way if "x" in view.axes and not view.above else ())


def _words(view: View) -> str:
    return {"side": "side view", "front": "front or rear view", "below": "view from below or above"}[
        view.kind
    ]


@lru_cache(maxsize=64)
def told(view: View, *, scaled: bool = True, limbs: bool = True) -> dict[str, tuple[str | None, str]]:
    """Why a view does not tell a measure (None if it does), and what that adds to its rule, for every measure.

    Parameters
    ----------
    scaled : bool
        False: lengths and speeds are NaN too.
    limbs : bool
        Whether limbs were turned out of the picture by their length; an angle in space that needs it has the rule
        `..._by_limb_length` then, else `..._as_seen`: the angle in the picture.
    """
    how, found = "_by_limb_length" if limbs else "_as_seen", {}
    for key, definition in read_toml("definitions")["measure"].items():
        why, turned = readable(key, view)
        if why is None and not scaled and definition["unit"] in _LENGTHS:
            why = NO_SCALE
        found[key] = why, how if turned and why is None else ""
    return found
