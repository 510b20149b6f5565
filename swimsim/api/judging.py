"""Validate detectors: run a design, score it, say what fell short."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ..ground.atomic import check_folder
from .source import Step, silent

Requirement = str | os.PathLike


@dataclass(frozen=True)
class Validated:
    """What a validation left: folder, files, the scorecard, the rows of its summary, and what fell short.

    `short` is None where nothing was required; `notes` are remarks on the run and on somebody else's detector;
    `failed` is True where that gave no answer in any clip.
    """

    folder: Path
    files: tuple[str, ...]
    card: dict[str, Any]
    rows: list[dict[str, str]]
    short: list[str] | None = None
    notes: list[str] = field(default_factory=list)
    failed: bool = False


def validate(
    design: str | os.PathLike | Mapping[str, Any] | None = None,
    out: str | os.PathLike = "swimsim-validation",
    *,
    detector: str | None = None,
    require: Requirement | None = None,
    time_limit_s: float = 10.0,
    processes: int | None = None,
    force: bool = False,
    progress: Step = silent,
) -> Validated:
    """Swim, see and judge a design, and leave a scorecard; a stopped run goes on where it was.

    Parameters
    ----------
    design : path, name or mapping, optional
        A design file, `quick` (the default), `full`, or the keys themselves.
    out : path
        Folder for `scorecard.html`, `.json`, `.csv`, plots and the records of every clip.
    detector : str, optional
        Somebody else's: `FILE.py:FUNCTION`, `MODULE:FUNCTION`, the name of an entry point, or a command with `{in}`
        and `{out}`; else the package's own. It is tried on one clip first; a file that changed is judged anew.
    require : path, optional
        A TOML file of scores that must be reached.
    time_limit_s : float
        For one clip, of somebody else's detector. [s]
    processes : int, optional
        Default all cores.
    force : bool
        Write into a folder that holds other files, and over the records of another design.

    Raises
    ------
    InputError
        A design, detector, requirement or folder that does not fit.
    MachineError
        A library of the extra `validate` is missing, or a worker was killed.
    """
    from ..validation.design import read_design
    from ..validation.detector_words import all_failed, words_of_detector
    from ..validation.gather import gather
    from ..validation.judges import JudgeSpec
    from ..validation.report import summary_rows, write_report
    from ..validation.require import fell_short, read_requirements
    from ..validation.runner import read_lines, run_design
    from ..validation.scorecard import scorecard
    from ..validation.trial import try_out

    _need_extra()
    plan, folder = read_design(design), Path(out)
    wanted = None if require is None else read_requirements(require)
    check_folder(folder, ours=_is_ours, force=force)
    judge, notes = None, []
    if detector is not None:
        progress("trying your detector on one clip", 0, 0)
        judge, why = try_out(JudgeSpec(detector, time_limit_s), plan)
        if why:
            progress(f"your detector failed in the first clip: {why}; going on with the others", 0, 0)
    records = run_design(
        plan, folder, judge=judge, processes=processes, force=force, progress=progress, tell=notes.append
    )
    progress("scoring", 0, 0)
    found = gather(read_lines(records))
    card = scorecard(found)
    short = None if wanted is None else fell_short(card, wanted)
    files = (*write_report(card, folder, short=short), records.name)
    notes += [] if judge is None else words_of_detector(card, found.said)
    return Validated(folder, files, card, summary_rows(card), short, notes, all_failed(card))


def _is_ours(name: str) -> bool:
    kinds = (
        "scorecard.",
        "records.",
        ".records",
        "ladder_",
        "detection_",
        "roc_",
        "confusion_",
        "errors_",
        "camera.",
    )
    return "/" not in name and name.startswith(kinds)


@dataclass(frozen=True)
class Planned:
    """What a camera can show: rows for each set-up, sentences with the cautions for filming, folder and files."""

    folder: Path
    files: tuple[str, ...]
    rows: list[dict[str, Any]]
    words: list[str]


def plan_camera(
    camera: str | os.PathLike,
    out: str | os.PathLike = "swimsim-camera",
    *,
    design: str | os.PathLike | Mapping[str, Any] | None = None,
    processes: int | None = None,
    force: bool = False,
    progress: Step = silent,
) -> Planned:
    """Which faults a coach's camera can show, from which severity, and which change of set-up helps most.

    Parameters
    ----------
    camera : path
        A TOML file: a named `view` (or `position_m`, `aim_m`, `field_deg`), and any setting of a condition of filming.
    out : path
        Folder for `camera.csv`, `camera.png` and the records of every clip.
    design : path, name or mapping, optional
        Which swims are seen; `planner` by default. Its conditions and views are not used.
    processes, force, progress
        As in `validate`.
    """
    from ..validation.design import read_design
    from ..validation.gather import gather
    from ..validation.planner import plan_design, plan_rows, plan_words, read_camera
    from ..validation.report import write_plan
    from ..validation.runner import read_lines, run_design
    from ..validation.scorecard import scorecard

    _need_extra()
    plan, tried = plan_design(*read_camera(camera), base=read_design("planner" if design is None else design))
    folder = Path(out)
    check_folder(folder, ours=_is_ours, force=force)
    records = run_design(plan, folder, processes=processes, force=force, progress=progress)
    progress("scoring", 0, 0)
    rows = plan_rows(scorecard(gather(read_lines(records))), tried)
    words = plan_words(rows)
    return Planned(folder, (*write_plan(rows, words, folder), records.name), rows, words)


def _need_extra() -> None:
    """Ask for the libraries of the extra before anything is swum."""
    from ..validation.detection import extra

    with extra():
        import sklearn.metrics  # noqa: F401
        import statsmodels.api  # noqa: F401
