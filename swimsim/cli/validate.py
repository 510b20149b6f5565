"""The verb that scores detectors."""

from __future__ import annotations

from typing import Annotated

import typer

from .app import Force, app, say

FELL_SHORT = 1


@app.command("validate", epilog="Example: swimsim validate quick --out my_scorecard")
def validate(
    design: Annotated[
        str | None,
        typer.Argument(metavar="[DESIGN]", help="A design file, or quick or full; quick without it."),
    ] = None,
    out: Annotated[
        str, typer.Option(metavar="DIR", help="Folder to make or to go on in.")
    ] = "swimsim-validation",
    detector: Annotated[
        str | None,
        typer.Option(
            metavar="NAME",
            help="Yours: FILE.py:FUNCTION, MODULE:FUNCTION, or a command with {in} and {out} in it.",
        ),
    ] = None,
    require: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Scores that must be reached; exit code 1 if any is not."),
    ] = None,
    time_limit: Annotated[float, typer.Option(help="Seconds for one clip of your detector.")] = 10.0,
    camera: Annotated[
        str | None,
        typer.Option(
            metavar="FILE", help="Instead of a scorecard: what your camera can show, and what would help."
        ),
    ] = None,
    processes: Annotated[int | None, typer.Option(help="Workers; all cores without it.")] = None,
    force: Force = False,
) -> None:
    """How far measures and detectors can be trusted: swims a design, judges it blind, leaves a scorecard."""
    from .. import api
    from . import show

    if camera is not None:
        with show.progress() as step:
            plan = api.plan_camera(
                camera, out, design=design, processes=processes, force=force, progress=step
            )
        show.plan(plan.rows)
        show.notes(plan.words)
        show.left(plan.folder, plan.files)
        return
    with show.progress() as step:
        result = api.validate(
            design, out, detector=detector, require=require, time_limit_s=time_limit, processes=processes,
            force=force, progress=step,
        )  # fmt: skip
    show.scores(result.rows)
    show.left(result.folder, result.files)
    say("\n".join(result.notes), code=0)
    if result.short:
        show.notes(["fell short:", *result.short])
    if result.short or result.failed:
        raise typer.Exit(FELL_SHORT)
