"""What a fault costs: seconds per 100 m, where the push goes, and how sure the model is."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ..ground.csv_files import write_rows
from ..ground.files import whole_folder
from ..scenario.models import Scenario
from ..scenario.price import SEVERITY, Priced, every_fault, price, set_speed
from ..scenario.put_right import Step as PutRight
from ..scenario.put_right import one_by_one
from ..scenario.what_if import Gain
from ..scenario.what_if import what_if as find_gains
from .source import Source, Step, as_scenario, silent

CSV, PNG, TEXT = "cost.csv", "cost.png", "cost.txt"
WHAT_IF, PUT_RIGHT = "what_if.csv", "put_right.csv"


@dataclass(frozen=True)
class Costed:
    """Prices, the rows of the table, the sentences a coach may say, and the files if any were asked for."""

    prices: tuple[Priced, ...]
    rows: list[dict[str, Any]]
    sentences: list[str]
    fine_print: list[str]
    folder: Path | None = None
    files: tuple[str, ...] = ()


def cost(
    source: Source = None,
    out: str | os.PathLike | None = None,
    *,
    draws: int = 500,
    severity: float | None = None,
    force: bool = False,
    progress: Step = silent,
) -> Costed:
    """Price the faults of a scenario, each alone, at the same mechanical power and at the same stroke rate.

    Parameters
    ----------
    source : path, name, mapping or Scenario, optional
        Without one, or with a scenario that has no fault: every fault of the catalogue on that swimmer.
    out : path, optional
        Folder to make, with `cost.csv`, `cost.png` and `cost.txt`.
    draws : int
        Draws of the uncertain numbers, spread by Latin hypercube; 2 or more.
    severity : float, optional
        Every fault of the catalogue at this severity, on the swimmer of the scenario.
    force, progress
        As in `run`.

    Raises
    ------
    InputError
        A scenario, draw or severity that is none; nothing is left behind then.
    """
    scenario = as_scenario(source)
    every = severity is not None or source is None
    settings = every_fault(SEVERITY if severity is None else severity) if every else None
    if out is None:
        prices = price(scenario, settings=settings, draws=draws, progress=progress)
        return _costed(prices, scenario, draws=draws)
    with whole_folder(out, ours={CSV, PNG, TEXT}.__contains__, force=force) as folder:
        prices = price(scenario, settings=settings, draws=draws, progress=progress)
        _write(prices, folder, draws=draws, title=_title(scenario))
        files = tuple(sorted(path.name for path in folder.iterdir()))
    return _costed(prices, scenario, draws=draws, folder=Path(out), files=files)


def _title(scenario) -> str:
    who, stroke = scenario.swimmer, scenario.stroke
    return f"What it costs: {who.sex}, {who.stature_m:.2f} m, {stroke.stroke_rate_per_min:.0f} cycles/min"


def _costed(prices: list[Priced], scenario: Scenario, *, draws: int, **left) -> Costed:
    from ..teaching.cost_words import fine_print, sentences, speed_words, table

    said = [*sentences(prices), speed_words(set_speed(scenario))]
    return Costed(tuple(prices), table(prices), said, fine_print(draws), **left)


def _write(prices: list[Priced], folder: Path, *, draws: int, title: str) -> None:
    from ..teaching.cost_picture import write_cost_picture
    from ..teaching.cost_words import COLUMNS, cost_text, csv_rows

    write_rows(folder / CSV, list(COLUMNS), csv_rows(prices))
    text = cost_text(prices, title=title, draws=draws)
    (folder / TEXT).write_text(text, encoding="utf-8", newline="\n")
    write_cost_picture(prices, folder / PNG, title=title, draws=draws)


@dataclass(frozen=True)
class WhatIf:
    """What each change is worth, best first; several faults put right one by one; rows, words and files of both."""

    gains: tuple[Gain, ...]
    rows: list[dict[str, Any]]
    fine_print: list[str]
    steps: tuple[PutRight, ...] = ()
    step_rows: list[dict[str, Any]] = field(default_factory=list)
    sentences: list[str] = field(default_factory=list)
    folder: Path | None = None
    files: tuple[str, ...] = ()


def what_if(
    source: Source = None,
    out: str | os.PathLike | None = None,
    *,
    draws: int = 500,
    force: bool = False,
    progress: Step = silent,
) -> WhatIf:
    """Which change is worth most to the swimmer of a scenario, at the mechanical power that the swimmer has now.

    Each fault put right with the others left, a stroke rate 5 % up and down, other kicks, another body. Several faults
    (and those of linked sets) are then put right one by one, each time the one that is worth most.

    Parameters
    ----------
    source, draws, force, progress
        As in `cost`.
    out : path, optional
        Folder to make, with `what_if.csv` and, where there is more than one fault, `put_right.csv`.

    Raises
    ------
    InputError
        As in `cost`.
    """
    from ..teaching.cost_words import (
        fine_print,
        gain_csv,
        gain_table,
        step_csv,
        step_sentence,
        step_table,
    )

    scenario = as_scenario(source)

    def found() -> tuple[list[Gain], list[PutRight]]:
        gains = find_gains(scenario, draws=draws, progress=progress)
        return gains, one_by_one(scenario, draws=draws, progress=progress)

    if out is None:
        (gains, steps), left = found(), {}
    else:
        with whole_folder(out, ours={WHAT_IF, PUT_RIGHT}.__contains__, force=force) as folder:
            gains, steps = found()
            write_rows(folder / WHAT_IF, *gain_csv(gains))
            if steps:
                write_rows(folder / PUT_RIGHT, *step_csv(steps))
            files = tuple(sorted(path.name for path in folder.iterdir()))
        left = {"folder": Path(out), "files": files}
    left |= {"step_rows": step_table(steps), "sentences": [step_sentence(steps)] if steps else []}
    return WhatIf(tuple(gains), gain_table(gains), fine_print(draws), tuple(steps), **left)
