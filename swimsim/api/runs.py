"""The main job, and the ground truth alone."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..ground.files import whole_folder
from ..ground.version import VERSION
from ..scenario import leaves
from ..scenario.drill import play_drill, write_drill
from ..scenario.models import Scenario
from ..scenario.play import Played, play
from ..scenario.read import write_scenario
from ..scenario.trace_leaves import write_truth_files
from .source import Source, Step, as_scenario, silent


@dataclass(frozen=True)
class Ran:
    """What a run left: the folder, its files, the summary rows, and the swimmers themselves."""

    folder: Path
    files: tuple[str, ...]
    rows: list[dict[str, Any]]
    played: Played


def run(
    source: Source = None,
    out: str | os.PathLike = "swimsim-out",
    *,
    force: bool = False,
    progress: Step = silent,
) -> Ran:
    """The main job: side-by-side clip, stills, traces, truth, and the measures recovered by the blind reader.

    Parameters
    ----------
    source : path, name, mapping or Scenario, optional
        The built-in scenario without it.
    out : path
        Folder to make; replaced if an earlier run left it.
    force : bool
        Write into a folder that holds other files.
    progress : callable
        `progress(text, done, total)`.

    Raises
    ------
    InputError, MachineError
        Nothing is left behind then.
    """
    from ..teaching.pictures import write_pictures
    from ..validation.of_run import main_rows, recover, write_recovery

    scenario = as_scenario(source)
    with whole_folder(out, ours=leaves.is_ours, force=force) as folder:
        played = _write_traces(scenario, folder, progress)
        progress("reading the traces blind", 0, 0)
        recovered = recover(played)
        write_recovery(recovered, folder / leaves.MEASURES)
        write_pictures(played, folder, progress=progress)
        files = leaves.write_last(scenario, folder)
    return Ran(Path(out), files, main_rows(played, recovered), played)


def write_traces(
    source: Source = None,
    out: str | os.PathLike = "swimsim-traces",
    *,
    force: bool = False,
    progress: Step = silent,
) -> tuple[Path, tuple[str, ...]]:
    """Only the ground truth: traces, seen points, truth.json, resolved scenario. Returns folder and files.

    Parameters and errors as `run`.
    """
    scenario = as_scenario(source)
    with whole_folder(out, ours=leaves.is_ours, force=force) as folder:
        _write_traces(scenario, folder, progress)
        files = leaves.write_last(scenario, folder)
    return Path(out), files


def trace_drill(
    name: str,
    source: Source = None,
    out: str | os.PathLike = "swimsim-traces",
    *,
    force: bool = False,
    progress: Step = silent,
) -> tuple[Path, tuple[str, ...]]:
    """The exact trace of a drill, with the numbers it was made from. Returns folder and files.

    Parameters and errors as `clip_drill` and `run`.
    """
    scenario = as_scenario(source)
    with whole_folder(out, ours=leaves.is_ours, force=force) as folder:
        drilled = play_drill(name, scenario, progress=lambda text: progress(text, 0, 0))
        progress("writing the trace", 0, 0)
        write_drill(drilled, folder, version=VERSION)
        write_scenario(scenario, folder / leaves.SCENARIO)
        files = tuple(sorted(path.name for path in folder.iterdir()))
    return Path(out), files


def _write_traces(scenario: Scenario, folder: Path, progress: Step) -> Played:
    played = play(scenario, progress=lambda text: progress(text, 0, 0))
    progress("writing traces", 0, 0)
    write_truth_files(played, folder, version=VERSION)
    return played
