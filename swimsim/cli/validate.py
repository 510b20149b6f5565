"""The verb that scores detectors."""

from __future__ import annotations

from typing import Annotated

import typer

from .app import Force, app, say

FELL_SHORT = 1
#: What a detector gets and gives; one paragraph a line, as the terminal breaks them.
HELP = (
    "How far measures and detectors can be trusted: swims a design, judges it blind, leaves a scorecard."
    "\n\n"
    "Designs: small (two faults, crossover and early_exit, in space; for trying a detector), quick, full, "
    "ladder, planner, or a TOML file. The exit code is 1 if your detector failed in every clip or a "
    "requirement is not reached, and 2 if your detector cannot be started. An edited detector is judged anew; "
    "else a run goes on where it was."
    "\n\n"
    "Your detector is FILE.py:FUNCTION, MODULE:FUNCTION, the name of an entry point of the group "
    'swimsim.detectors, or a command such as "sh find.sh {in} {out}". It sees one clip at a time and nothing '
    "else, within the time limit."
    "\n\n"
    "It gets points, NaN or an empty cell where one is lost. In the view 3d: metres, x forward, y to the "
    "swimmer's left, z up, still water at 0, as a Trace (time_s, joint('left_wrist'), rate_hz) or as {in}, a "
    "CSV with time_s, left_wrist_x_m and so on. In the view of one camera: pixels from the upper left, as a "
    "Seen (time_s, pixels, confidence, joint_names, rate_hz, camera) or as a CSV with left_wrist_x_px, "
    "left_wrist_y_px, left_wrist_confidence, and points.json beside {in} with camera, view, stature and frame "
    "rate."
    "\n\n"
    'It gives a list, as JSON in {out}: [{"fault": "crossover", "present": true, "side": "left", "severity": '
    '0.6, "score": 0.61}]. Needed: fault, a name of `swimsim list faults`, and present. side: left, right or '
    "both. severity: 0 as usual, 1 gross. score: any scale, higher is more faulty; severity stands in for it, "
    "else present. A fault that is left out of one clip counts as no; one that is never named is not judged. "
    "Points or measures of its own it may give instead: README says how."
)


@app.command("validate", help=HELP, epilog="Example: swimsim validate small --out my_scorecard")
def validate(
    design: Annotated[
        str | None,
        typer.Argument(metavar="[DESIGN]", help="A design file, or small, quick or full; quick without it."),
    ] = None,
    out: Annotated[
        str, typer.Option(metavar="DIR", help="Folder to make or to go on in.")
    ] = "swimsim-validation",
    detector: Annotated[
        str | None,
        typer.Option(
            metavar="NAME",
            help="Yours: FILE.py:FUNCTION, MODULE:FUNCTION, an entry point, or a command with {in} and {out}.",
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
    """Swim a design, score what it finds, and say so."""
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
    show.scores(result.rows, beside=detector is not None)
    show.left(result.folder, result.files)
    say("\n".join(result.notes), code=0)
    if result.short:
        show.notes(["fell short:", *result.short])
    if result.short or result.failed:
        raise typer.Exit(FELL_SHORT)
