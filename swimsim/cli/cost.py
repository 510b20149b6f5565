"""The verb that prices faults."""

from __future__ import annotations

from typing import Annotated

import typer

from .app import Force, Source, app


@app.command("cost", epilog="Example: swimsim cost early_exit --draws 100 --out early_exit_cost")
def cost(
    scenario: Source = None,
    draws: Annotated[int, typer.Option(help="Draws of the uncertain numbers.")] = 500,
    severity: Annotated[
        float | None,
        typer.Option(help="Every fault of the catalogue at this severity (0 to 1) on this swimmer."),
    ] = None,
    out: Annotated[
        str | None, typer.Option(metavar="DIR", help="Also leave cost.csv, cost.png and cost.txt.")
    ] = None,
    what_if: Annotated[
        bool,
        typer.Option("--what-if", help="Instead: which change is worth most, each fault put right in turn."),
    ] = False,
    force: Force = False,
) -> None:
    """What a fault costs in seconds per 100 m, and where the push goes; every fault without a scenario."""
    from .. import api
    from . import show

    if what_if:
        with show.progress() as step:
            tried = api.what_if(scenario, out, draws=draws, force=force, progress=step)
        show.costs(tried.rows, title="What it is worth at the same effort: median (90 % interval)")
        if tried.steps:
            show.costs(tried.step_rows, title="Put right one by one, each time the one that is worth most")
        show.notes([*tried.sentences, "", *tried.fine_print])
        if tried.folder is not None:
            show.left(tried.folder, tried.files)
        return
    with show.progress() as step:
        result = api.cost(scenario, out, draws=draws, severity=severity, force=force, progress=step)
    show.costs(result.rows)
    show.notes([*result.sentences, "", *result.fine_print])
    if result.folder is not None:
        show.left(result.folder, result.files)
