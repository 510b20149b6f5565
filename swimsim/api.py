"""The public functions. The command line is one call of each; from Python: `swimsim.run(...)` and so on."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Unpack

from .ground.errors import InputError
from .ground.files import read_trace, whole_folder, write_trace
from .ground.measure_files import check_measures_path, measure_record, write_measures
from .ground.version import VERSION as __version__
from .metrics import Reading, measure_trace
from .metrics.gaps import gaps_in_words
from .metrics.readout import nothing_read
from .scenario import leaves
from .scenario.drill import play_drill, write_drill
from .scenario.listing import details, listing, overview
from .scenario.models import Scenario
from .scenario.play import Played, play
from .scenario.read import read_scenario, write_scenario
from .scenario.trace_leaves import write_truth_files
from .scenario.wishes import Drawing, drawn_as
from .stroke.drill import drill_names

__all__ = [
    "Measured", "Ran", "clip", "clip_drill", "details", "doctor", "draw_views", "drill_names", "listing",
    "measure", "measure_trace", "overview", "play", "read_scenario", "read_trace", "run", "small_views",
    "trace_drill", "write_trace", "write_traces",
]  # fmt: skip

Source = str | os.PathLike | Mapping[str, Any] | Scenario | None
Step = Callable[[str, int, int], None]


@dataclass(frozen=True)
class Ran:
    """What a run left: the folder, its files, the summary rows, and the swimmers themselves."""

    folder: Path
    files: tuple[str, ...]
    rows: list[dict[str, Any]]
    played: Played


@dataclass(frozen=True)
class Measured:
    """What was read off a trace file: the reading, its rows over all cycles, and remarks on the file.

    `nothing` says why not one measure could be read; None if any could.
    """

    reading: Reading
    rows: list[dict[str, Any]]
    notes: tuple[str, ...]
    nothing: str | None = None


def _silent(text: str, done: int, total: int) -> None:
    return None


def run(
    source: Source = None,
    out: str | os.PathLike = "swimsim-out",
    *,
    force: bool = False,
    progress: Step = _silent,
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
    from .teaching.pictures import write_pictures
    from .validation.of_run import main_rows, recover, write_recovery

    scenario = _scenario(source)
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
    progress: Step = _silent,
) -> tuple[Path, tuple[str, ...]]:
    """Only the ground truth: traces, seen points, truth.json, resolved scenario. Returns folder and files.

    Parameters and errors as `run`.
    """
    scenario = _scenario(source)
    with whole_folder(out, ours=leaves.is_ours, force=force) as folder:
        _write_traces(scenario, folder, progress)
        files = leaves.write_last(scenario, folder)
    return Path(out), files


def clip(
    source: Source = None,
    out: str | os.PathLike = "swimsim-clip.mp4",
    *,
    views: Sequence[str] | None = None,
    loop: bool = False,
    quiz: bool = False,
    progress: Step = _silent,
    **drawing: Unpack[Drawing],
) -> tuple[str, ...]:
    """Only the moving picture, FAULT beside CORRECT, as MP4, WebM or GIF by the name of the file.

    Captions are written beside an MP4 or WebM, under the same name with the suffix .vtt.

    Parameters
    ----------
    views : sequence of str, optional
        Instead of the views of the scenario.
    loop : bool
        Whole breathing periods without cards, the last picture leading into the first.
    quiz : bool
        Panels A and B without words, colours or numbers that tell which swimmer has the fault; the answer lies
        beside the clip as `NAME_answer.txt`.
    drawing : layout, style, theme, size, mirror, locked, speed
        Instead of what the scenario says; see `scenario.wishes.Drawing`.

    Returns
    -------
    tuple of str
        Names of the files that were written.
    """
    from .teaching.pictures import check_clip_path, write_side_by_side
    from .teaching.script import Wish

    check_clip_path(out)
    wish = Wish(loop=loop, quiz=quiz)
    scenario = drawn_as(_scenario(source), views=views, **drawing)
    wish.check(scenario)
    played = play(scenario, progress=lambda text: progress(text, 0, 0))
    return write_side_by_side(played, out, wish=wish, progress=progress)


def clip_drill(
    name: str,
    source: Source = None,
    out: str | os.PathLike = "swimsim-clip.mp4",
    *,
    views: Sequence[str] | None = None,
    loop: bool = False,
    progress: Step = _silent,
    **drawing: Unpack[Drawing],
) -> tuple[str, ...]:
    """The moving picture of a drill, labelled DRILL, as MP4, WebM or GIF by the name of the file.

    Parameters
    ----------
    name : str
        One of `drill_names()`.
    source : path, name, mapping or Scenario, optional
        Gives the body, the figure and the output; its stroke and faults are left aside.
    views : sequence of str, optional
        Instead of those that show the drill best.
    loop : bool
        Whole periods without cards, the last picture leading into the first.
    drawing : style, theme, size, mirror, speed
        As in `clip`; a drill is alone in its picture, so it has no layout.
    """
    for option in ("layout", "locked"):
        if drawing.get(option) is not None:
            raise InputError(f"{option}: expected none for a drill, which is alone in its picture")
    from .teaching.drill_clip import write_drill_clip
    from .teaching.pictures import check_clip_path

    check_clip_path(out)
    scenario = drawn_as(_scenario(source), views=views, **drawing)
    drilled = play_drill(name, scenario, progress=lambda text: progress(text, 0, 0))
    return write_drill_clip(drilled, out, views=views, loop=loop, progress=progress)


def trace_drill(
    name: str,
    source: Source = None,
    out: str | os.PathLike = "swimsim-traces",
    *,
    force: bool = False,
    progress: Step = _silent,
) -> tuple[Path, tuple[str, ...]]:
    """The exact trace of a drill, with the numbers it was made from. Returns folder and files.

    Parameters and errors as `clip_drill` and `run`.
    """
    scenario = _scenario(source)
    with whole_folder(out, ours=leaves.is_ours, force=force) as folder:
        drilled = play_drill(name, scenario, progress=lambda text: progress(text, 0, 0))
        progress("writing the trace", 0, 0)
        write_drill(drilled, folder, version=__version__)
        write_scenario(scenario, folder / leaves.SCENARIO)
        files = tuple(sorted(path.name for path in folder.iterdir()))
    return Path(out), files


def measure(
    path: str | os.PathLike,
    *,
    axes: str | None = None,
    unit: str | None = None,
    rate_hz: float | None = None,
    joint_map: str | os.PathLike | Mapping[str, str] | None = None,
    out: str | os.PathLike | None = None,
) -> Measured:
    """What the blind reader makes of any trace file; see `read_trace` for the options.

    Parameters
    ----------
    out : path, optional
        Also write every measure, cycle by cycle, as CSV or JSON.
    """
    if out is not None:
        check_measures_path(out, source=path)
    trace = read_trace(path, axes=axes, unit=unit, rate_hz=rate_hz, joint_map=joint_map)
    reading = measure_trace(trace)
    if out is not None:
        write_measures(reading.measures, out, events=reading.events, rule=reading.rule)
    notes = [
        f"{key.replace('_', ' ')}: {', '.join(trace.meta[key])}"
        for key in ("missing_joints", "unknown_joints")
        if key in trace.meta
    ]
    if gaps := gaps_in_words(trace):
        notes.append(gaps)
    rows = [measure_record(m) for m in reading.measures if m.cycle is None]
    return Measured(reading, rows, (*notes, reading.rule), nothing_read(reading.measures))


def draw_views(
    out: str | os.PathLike = "views.png", *, what: str | None = "views", name: str | None = None
) -> Path:
    """Write one PNG with a picture of each view, or of the named one, and the line to type.

    Raises InputError for a list without pictures.
    """
    from .teaching.view_pictures import write_views

    if what != "views":
        raise InputError(f"--out: expected `list views` with it, got the list {what or 'of lists'}")
    if name is not None:
        details(what, name)
    write_views(out, [row for row in listing(what) if name in (None, row["name"])])
    return Path(out)


def small_views(columns: int) -> dict[str, Any]:
    """A coarse picture of each view for a terminal: (rows, 2, columns, 3) colours of half letters."""
    from .teaching.view_pictures import coarse_views

    return coarse_views([row["name"] for row in listing("views")], columns)


def doctor() -> list:
    """Every check of this machine: `name`, `able`, `found`, `remedy`."""
    from .validation.machine import check_machine

    return check_machine()


def _scenario(source: Source) -> Scenario:
    return source if isinstance(source, Scenario) else read_scenario(source)


def _write_traces(scenario: Scenario, folder: Path, progress: Step) -> Played:
    played = play(scenario, progress=lambda text: progress(text, 0, 0))
    progress("writing traces", 0, 0)
    write_truth_files(played, folder, version=__version__)
    return played
