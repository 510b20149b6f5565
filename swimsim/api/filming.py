"""What a camera gives of a swimmer, and what the blind reader makes of it."""

from __future__ import annotations

import dataclasses
import math
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from ..ground.errors import InputError, nearest
from ..ground.files import whole_folder, write_seen_csv
from ..ground.foreign import read_joint_map
from ..ground.measure_files import check_measures_path, measure_record, write_measures
from ..ground.records import Camera, Seen
from ..ground.seen_files import camera_path, is_seen_csv, read_camera, read_seen, write_camera
from ..metrics.readout import nothing_read
from ..metrics.seen_budget import with_uncertainty
from ..metrics.seen_reading import Scale
from .measuring import Measured
from .source import Source, Step, as_scenario, silent

FULL_HD = (1920, 1080)
SWIMMERS = ("fault", "correct")

__all__ = ["film", "is_seen_csv", "measure_film"]


def film(
    source: Source = None,
    out: str | os.PathLike = "swimsim-film",
    *,
    condition: str | Mapping[str, Any] = "square",
    views: Sequence[str] | None = None,
    seed: int | None = None,
    force: bool = False,
    progress: Step = silent,
) -> tuple[Path, tuple[str, ...]]:
    """The points that a camera gives of both swimmers, as it loses them, with the camera the coach believes in.

    Parameters
    ----------
    source : path, name, mapping or Scenario, optional
    out : path
        Folder to make: `fault_<view>.csv` and `correct_<view>.csv` with pixels and confidence, and a `.json` of the
        same name with the camera.
    condition : str or mapping
        A name of `shared/conditions.toml`, or settings by name (`like` starts from a named one).
    views : sequence of str, optional
        Instead of the views of the scenario.
    seed : int, optional
        Of noise and losses; default that of the scenario.
    force : bool
        Write into a folder that holds other files.

    Returns
    -------
    Folder and files.

    Raises
    ------
    InputError
        An unknown condition or setting, or one that a camera cannot have.
    """
    from ..scenario.cameras import cameras_of, with_views
    from ..scenario.play import play
    from ..view.conditions import condition_named, make_condition
    from ..view.seeing import see

    how = condition_named(condition) if isinstance(condition, str) else make_condition(condition)
    scenario = as_scenario(source)
    scenario = scenario if views is None else with_views(scenario, list(views))
    cameras = cameras_of(scenario, size_px=FULL_HD)
    with whole_folder(out, ours=_is_ours, force=force) as folder:
        played = play(scenario, progress=lambda text: progress(text, 0, 0))
        jobs = [(name, camera) for name in SWIMMERS for camera in cameras]
        for done, (name, camera) in enumerate(jobs):
            progress("filming", done, len(jobs))
            seen = see(getattr(played, name).trace, camera, how, seed=scenario.seed if seed is None else seed)
            path = folder / f"{name}_{camera.name}.csv"
            write_seen_csv(seen, path)
            write_camera(seen, camera_path(path))
        files = tuple(sorted(path.name for path in folder.iterdir()))
    return Path(out), files


def _is_ours(name: str) -> bool:
    return name.startswith(tuple(f"{swimmer}_" for swimmer in SWIMMERS)) and name.endswith((".csv", ".json"))


def measure_film(
    path: str | os.PathLike,
    *,
    camera: str | os.PathLike | None = None,
    known: Mapping[str, float] | None = None,
    scale: Scale | str = "camera",
    in_picture: bool = False,
    joint_map: str | os.PathLike | Mapping[str, str] | None = None,
    out: str | os.PathLike | None = None,
) -> Measured:
    """What the blind reader makes of the points that one camera gave.

    Parameters
    ----------
    path : path
        CSV with `time_s` and `<joint>_x_px`, `<joint>_y_px`, and perhaps `<joint>_confidence`.
    camera : path or name of a view, optional
        A camera file, or one of the named views; default the file of the same name that ends in `.json`.
    known : mapping, optional
        What is known beside the picture, instead of what the camera file says: `stature_m`, `speed_m_s` (of a camera
        that moves along), `rate_hz` (frames a second, for a file without times), `filmed_hz` (frames a second that
        were taken, for slow motion saved at another rate), `width_px` and `height_px` (for a named view).
    scale : Scale or its kind
        Where metres come from: `camera`, `body`, `none`, or a lane line.
    in_picture : bool
        Angles as they look in the picture, instead of in space by the lengths of limbs.
    joint_map : path or mapping, optional
        Their joint names to ours.
    out : path, optional
        Also write every measure, cycle by cycle, as CSV or JSON.

    Returns
    -------
    Measured
        Measures over all strokes have the combined standard uncertainty of strokes and filming.

    Raises
    ------
    InputError
        Anything wrong with files or options.
    """
    if out is not None:
        check_measures_path(out, source=path)
    known = _checked(known or {})
    lens, facts = _camera(path, camera, known)
    names = joint_map if isinstance(joint_map, Mapping) or joint_map is None else read_joint_map(joint_map)
    seen = read_seen(path, lens, facts=facts, rate_hz=known.get("rate_hz"), joint_map=names)
    scale = Scale("body", facts.get("stature_m")) if scale == "body" else scale
    reading = with_uncertainty(seen, scale=scale, filmed_hz=known.get("filmed_hz"), limbs=not in_picture)
    if out is not None:
        write_measures(reading.measures, out, events=reading.events, rule=reading.rule)
    rows = [_record(m) for m in reading.measures if m.cycle is None]
    return Measured(reading, rows, (*_notes(seen), reading.rule), nothing_read(reading.measures))


def _record(measure) -> dict[str, Any]:
    return {**measure_record(measure), "uncertainty": measure.uncertainty}


def _camera(
    path: str | os.PathLike, camera: str | os.PathLike | None, known: Mapping[str, float]
) -> tuple[Camera, dict[str, Any]]:
    """The camera, and the facts beside it."""
    from ..view.cameras import VIEWS, named_camera

    facts: dict[str, Any] = {}
    if camera is not None and str(camera) in VIEWS:
        size = int(known.get("width_px", FULL_HD[0])), int(known.get("height_px", FULL_HD[1]))
        lens = named_camera(str(camera), known.get("stature_m", 1.80), size_px=size)
        lens = dataclasses.replace(lens, travels="speed_m_s" in known)
    else:
        file = camera_path(path) if camera is None else Path(camera)
        if not file.is_file():
            raise InputError(_no_camera(path, file, asked=camera is not None))
        lens, facts = read_camera(file)
    facts.update({"stature_m": known["stature_m"]} if "stature_m" in known else {})
    facts.update({"camera_speed_m_s": known["speed_m_s"]} if "speed_m_s" in known else {})
    return lens, facts


def _checked(known: Mapping[str, float]) -> dict[str, float]:
    """What is known beside the picture: finite numbers, and all but a speed above 0."""
    for name, value in known.items():
        if not math.isfinite(value) or (value <= 0 and name != "speed_m_s"):
            more = "" if name == "speed_m_s" else " above 0"
            raise InputError(f"{name}: expected a finite number{more}, got {value:g}")
    return dict(known)


def _no_camera(path: str | os.PathLike, file: Path, *, asked: bool) -> str:
    """What to say where there is no camera: the nearest view if one was asked for, else what to give."""
    from ..view.cameras import VIEWS

    if asked:
        return (
            f"--camera: expected a camera file or one of the views, got '{file}'; {nearest(str(file), VIEWS)}"
        )
    return (
        f"{path}: camera: expected the file {file.name} beside it, or --camera with a camera file or one of "
        f"the views {', '.join(VIEWS)}"
    )


def _notes(seen: Seen) -> list[str]:
    """Remarks on what was lost."""
    lost = (seen.confidence <= 0).mean(axis=0)
    worst = sorted(zip(seen.joint_names, lost.tolist(), strict=True), key=lambda pair: -pair[1])[:4]
    said = ", ".join(f"{name} {100 * share:.0f} %" for name, share in worst if share >= 0.01)
    return [f"points lost in {100 * lost.mean():.0f} % of the places, most: {said}"] if said else []
