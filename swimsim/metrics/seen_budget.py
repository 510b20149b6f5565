"""Uncertainty of what one camera tells: scatter of the strokes, and what is not known of the filming.

By the Guide to the Expression of Uncertainty in Measurement (JCGM 100:2008): each thing that is not known (where the
camera looked, the scale, how fast it travelled, the size of the body) is moved by its standard uncertainty and the
measure read again; the differences and the scatter over strokes (noise of the points and of the swimmer) add as
squares.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..ground.records import Camera, Measure, Seen
from .reading import Reading
from .seen_body import STATURE_M
from .seen_lift import camera_as_squared
from .seen_reading import Scale, measure_seen
from .seen_square import turned
from .seen_views import View, view_of


@dataclass(frozen=True)
class Budget:
    """Standard uncertainties of the filming; all are common practice, choices of ours.

    Parameters
    ----------
    turn_deg, roll_deg : float
        Of the camera about the upright (left after it was squared by the body) and about its own axis. [deg]
    scale_share : float
        Of all lengths. [1]
    stature_m : float
        Of the body whose proportions set what is not seen; it holds for the proportions too. [m]
    speed_share : float
        Of the speed of a travelling camera. [1]
    """

    turn_deg: float = 1.0
    roll_deg: float = 0.6
    scale_share: float = 0.02
    stature_m: float = 0.05
    speed_share: float = 0.01


def with_uncertainty(seen: Seen, *, budget: Budget | None = None, **how) -> Reading:
    """Read one camera, with the combined standard uncertainty of every value over all strokes.

    Parameters
    ----------
    seen : Seen
    budget : Budget, optional
    **how
        As for `measure_seen`.

    Returns
    -------
    Reading
        `uncertainty` of a value over all strokes is None where fewer than three strokes tell of the scatter.
    """
    budget = budget or Budget()
    how = {**how, "scale": _named(how.get("scale", "camera"))}
    reading = measure_seen(seen, **how)
    base = replace(seen, camera=camera_as_squared(seen, square=how.get("square", True)))
    how["square"] = False
    shifts = [measure_seen(one, **{**how, **more}) for one, more in _moved(base, how["scale"], budget)]
    start = _overall(measure_seen(base, **how))
    squares = dict.fromkeys(start, 0.0)
    for shifted in map(_overall, shifts):
        for key, measure in shifted.items():
            if key in start and np.isfinite(off := measure.value - start[key].value):
                turn = 360.0 if measure.measure.startswith("kick_phase") else 0.0
                off = (off + turn / 2) % turn - turn / 2 if turn else off
                squares[key] += off**2
    measures = tuple(_told(measure, squares) for measure in reading.measures)
    return replace(reading, measures=measures)


def _named(scale: Scale | str) -> Scale:
    return Scale(scale) if isinstance(scale, str) else scale


Key = tuple[str, str | None, bool | None]


def _overall(reading: Reading) -> dict[Key, Measure]:
    return {(m.measure, m.side, m.breathing): m for m in reading.measures if m.cycle is None}


def _told(measure: Measure, squares: dict[Key, float]) -> Measure:
    if measure.cycle is not None or measure.uncertainty is None:
        return measure
    more = squares.get((measure.measure, measure.side, measure.breathing), 0.0)
    return replace(measure, uncertainty=float(np.sqrt(measure.uncertainty**2 + more)))


def _moved(seen: Seen, scale: Scale, budget: Budget) -> list[tuple[Seen, dict]]:
    """The same points with one thing moved at a time."""
    view, camera, facts = view_of(seen.camera), seen.camera, dict(seen.meta)
    stature = float(facts.get("stature_m") or scale.length_m or STATURE_M)
    larger = replace(camera, focal_px=tuple(f * (1 + budget.scale_share) for f in camera.focal_px))
    found = [
        (replace(seen, camera=turned(camera, np.radians(budget.turn_deg), view)), {}),
        (replace(seen, camera=_rolled(camera, np.radians(budget.roll_deg), view)), {}),
        (replace(seen, meta={**facts, "stature_m": stature + budget.stature_m}), {}),
    ]
    if scale.kind == "camera":
        found.append((replace(seen, camera=_kept(larger, camera)), {}))
    elif scale.length_m is not None:
        longer = replace(scale, length_m=scale.length_m * (1 + budget.scale_share))
        found.append((seen, {"scale": longer}))
    if camera.travels and facts.get("camera_speed_m_s"):
        speed = float(facts["camera_speed_m_s"]) * (1 + budget.speed_share)
        found.append((replace(seen, meta={**facts, "camera_speed_m_s": speed}), {}))
    return found


def _kept(larger: Camera, camera: Camera) -> Camera:
    """The picture stretched about its middle, not about the lens axis."""
    middle = (np.array(camera.size_px, float) - 1) / 2
    share = larger.focal_px[0] / camera.focal_px[0]
    centre = middle + share * (np.array(camera.centre_px) - middle)
    return replace(larger, centre_px=(float(centre[0]), float(centre[1])))


def _rolled(camera: Camera, angle_rad: float, view: View) -> Camera:
    """The camera turned about its own axis, the picture about its middle."""
    cosine, sine = np.cos(angle_rad), np.sin(angle_rad)
    turn = np.array([[cosine, -sine, 0.0], [sine, cosine, 0.0], [0.0, 0.0, 1.0]])
    middle = (np.array(camera.size_px, float) - 1) / 2
    off = np.array(camera.centre_px) - middle
    centre = middle + turn[:2, :2] @ off
    return replace(camera, rotation=turn @ camera.rotation, centre_px=(float(centre[0]), float(centre[1])))
