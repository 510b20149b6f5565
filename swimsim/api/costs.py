"""What a fault costs: seconds per 100 m, where the push goes, and how sure the model is."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..ground.csv_files import write_rows
from ..ground.files import whole_folder
from ..scenario.price import SEVERITY, Priced, every_fault, price
from .source import Source, Step, as_scenario, silent

CSV, PNG, TEXT = "cost.csv", "cost.png", "cost.txt"


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
        return _costed(price(scenario, settings=settings, draws=draws, progress=progress), draws=draws)
    with whole_folder(out, ours={CSV, PNG, TEXT}.__contains__, force=force) as folder:
        prices = price(scenario, settings=settings, draws=draws, progress=progress)
        _write(prices, folder, draws=draws, title=_title(scenario))
        files = tuple(sorted(path.name for path in folder.iterdir()))
    return _costed(prices, draws=draws, folder=Path(out), files=files)


def _title(scenario) -> str:
    who, stroke = scenario.swimmer, scenario.stroke
    return f"What it costs: {who.sex}, {who.stature_m:.2f} m, {stroke.stroke_rate_per_min:.0f} cycles/min"


def _costed(prices: list[Priced], *, draws: int, **left) -> Costed:
    from ..teaching.cost_words import fine_print, sentences, table

    return Costed(tuple(prices), table(prices), sentences(prices), fine_print(draws), **left)


def _write(prices: list[Priced], folder: Path, *, draws: int, title: str) -> None:
    from ..teaching.cost_picture import write_cost_picture
    from ..teaching.cost_words import COLUMNS, cost_text, csv_rows

    write_rows(folder / CSV, list(COLUMNS), csv_rows(prices))
    text = cost_text(prices, title=title, draws=draws)
    (folder / TEXT).write_text(text, encoding="utf-8", newline="\n")
    write_cost_picture(prices, folder / PNG, title=title, draws=draws)
