"""Validate detectors: run a design, score it, say what fell short."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..ground.atomic import check_folder
from .source import Step, silent

Requirement = str | os.PathLike


@dataclass(frozen=True)
class Validated:
    """What a validation left: folder, files, the scorecard, the rows of its summary, and what fell short.

    `short` is None where nothing was required.
    """

    folder: Path
    files: tuple[str, ...]
    card: dict[str, Any]
    rows: list[dict[str, str]]
    short: list[str] | None = None


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
        and `{out}`; else the package's own.
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
    from ..validation.detection import extra
    from ..validation.gather import gather
    from ..validation.judges import JudgeSpec
    from ..validation.report import summary_rows, write_report
    from ..validation.require import fell_short, read_requirements
    from ..validation.runner import read_lines, run_design
    from ..validation.scorecard import scorecard

    with extra():
        import sklearn.metrics  # noqa: F401
        import statsmodels.api  # noqa: F401
    plan, folder = read_design(design), Path(out)
    wanted = None if require is None else read_requirements(require)
    check_folder(folder, ours=_is_ours, force=force)
    judge = None if detector is None else JudgeSpec(detector, time_limit_s)
    records = run_design(plan, folder, judge=judge, processes=processes, force=force, progress=progress)
    progress("scoring", 0, 0)
    card = scorecard(gather(read_lines(records)))
    short = None if wanted is None else fell_short(card, wanted)
    return Validated(
        folder, (*write_report(card, folder, short=short), records.name), card, summary_rows(card), short
    )


def _is_ours(name: str) -> bool:
    kinds = ("scorecard.", "records.", ".records", "detection_", "roc_", "confusion_", "errors_", "planner")
    return "/" not in name and name.startswith(kinds)
