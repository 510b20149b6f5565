"""The chart of what faults cost."""

from __future__ import annotations

import os
from collections.abc import Sequence

from ..scenario.price import Priced
from ..view.cost_chart import Bar, draw_costs
from ..water.price_rules import AT_MOST, KICK_LEFT_OUT, NO_PRICE
from .cost_words import HEADLINE, fine_print, line_of, named, ranked

SHORT = {KICK_LEFT_OUT: "kick left out", AT_MOST: "drag capped"}  # notes beside a bar


def write_cost_picture(prices: Sequence[Priced], path: str | os.PathLike, *, title: str, draws: int) -> None:
    """Write the chart as PNG: seconds per 100 m at the same effort, dearest fault on top."""
    draw_costs(
        [bar_of(priced) for priced in ranked(prices)],
        path,
        title=title,
        axis="seconds per 100 m at the same effort, beside the same swimmer without the fault",
        fine_print=fine_print(draws),
    )


def bar_of(priced: Priced) -> Bar:
    """One line of the chart."""
    line = line_of(priced, *HEADLINE)
    name = named(priced.fault)
    if line is None:
        return Bar(name, None, None, None, f"not shown: {priced.refused}")
    note = ", ".join(short for part, short in SHORT.items() if part in (line.note or ""))
    return Bar(
        name,
        line.change.median,
        line.change.low,
        line.change.high,
        (line.reason or note).removeprefix(f"{NO_PRICE}: "),
    )
