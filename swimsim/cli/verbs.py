"""Verbs that make, list and measure."""

from __future__ import annotations

import os
from typing import Annotated

import typer

from .app import Force, Source, app, say

Drill = Annotated[
    str | None,
    typer.Option(metavar="NAME", help="A drill instead of the stroke, done by the body of the scenario."),
]


@app.command("run", epilog="Example: swimsim run early_exit --out early_exit_out")
def run(
    scenario: Source = None,
    out: Annotated[str, typer.Option(help="Folder to make.")] = "swimsim-out",
    force: Force = False,
) -> None:
    """The main job: clip, stills, traces, truth and measures of a fault and its correction."""
    from .. import api
    from . import show

    with show.progress() as step:
        result = api.run(scenario, out, force=force, progress=step)
    show.recovery(result.rows)
    show.left(result.folder, result.files)


@app.command("list", epilog="Example: swimsim list faults dropped_elbow")
def list_(
    what: Annotated[
        str | None,
        typer.Argument(help="faults, linked, drills, views, measures, presets, swimmers, scenarios, safety."),
    ] = None,
    name: Annotated[str | None, typer.Argument(help="One of them, in full.")] = None,
    out: Annotated[
        str | None, typer.Option(metavar="FILE", help="With views: write their pictures as .png.")
    ] = None,
) -> None:
    """What there is, each with a line to type; views with a small picture on a colour terminal."""
    from .. import api
    from . import show

    if out is not None:
        api.draw_views(out, what=what, name=name)
        show.left(os.path.dirname(out) or ".", [os.path.basename(out)])
    elif what is None:
        show.overview(api.overview())
    elif name is not None:
        show.details(api.details(what, name))
    elif what == "views" and show.has_colours():
        show.pictures(api.listing(what), api.small_views(show.PICTURE_WIDTH))
    else:
        show.listing(what, api.listing(what))


@app.command("clip", epilog="Example: swimsim clip wide_entry --view front --out wide_entry.gif")
def clip(
    scenario: Source = None,
    out: Annotated[str, typer.Option(help="File to make, .mp4, .webm or .gif.")] = "swimsim-clip.mp4",
    view: Annotated[
        list[str] | None, typer.Option(help="A view, may be given again; else the scenario's.")
    ] = None,
    layout: Annotated[
        str | None, typer.Option(help="side_by_side, stacked, single or ghost (one over the other).")
    ] = None,
    style: Annotated[str | None, typer.Option(help="solid or stick.")] = None,
    theme: Annotated[str | None, typer.Option(help="light or dark.")] = None,
    size: Annotated[str | None, typer.Option(metavar="WxH", help="Pixels, such as 640x360.")] = None,
    mirror: Annotated[bool, typer.Option("--mirror", help="Left and right exchanged.")] = False,
    real_time: Annotated[
        bool, typer.Option("--real-time", help="Each swimmer at its own pace, not phase-locked.")
    ] = False,
    loop: Annotated[
        bool, typer.Option("--loop", help="Whole periods without cards; the end leads into the start.")
    ] = False,
    speed: Annotated[
        float | None, typer.Option(help="One stretch at this speed, such as 0.5, instead of several.")
    ] = None,
    forces: Annotated[
        bool,
        typer.Option("--forces", help="Where the hand's push goes, with strips of push, speed and roll."),
    ] = False,
    quiz: Annotated[
        bool,
        typer.Option("--quiz", help="Panels A and B, nothing that tells the fault; answer in a text file."),
    ] = False,
    drill: Drill = None,
) -> None:
    """Only the moving picture, FAULT beside CORRECT, with captions beside it. A GIF is one stretch."""
    from .. import api
    from . import show

    drawing = {"layout": layout, "style": style, "theme": theme, "size": size, "speed": speed}
    drawing |= {"mirror": mirror or None, "locked": False if real_time else None, "forces": forces or None}
    how = {"views": view, "loop": loop, **drawing}
    with show.progress() as step:
        if drill is None:
            files = api.clip(scenario, out, quiz=quiz, progress=step, **how)
        else:
            _no_quiz(quiz)
            files = api.clip_drill(drill, scenario, out, progress=step, **how)
    show.left(os.path.dirname(out) or ".", files)


@app.command("trace", epilog="Example: swimsim trace crossover --out crossover_traces")
def trace(
    scenario: Source = None,
    out: Annotated[str, typer.Option(help="Folder to make.")] = "swimsim-traces",
    force: Force = False,
    drill: Drill = None,
) -> None:
    """Only the ground truth: traces as NPZ and CSV, truth.json and the resolved scenario."""
    from .. import api
    from . import show

    with show.progress() as step:
        if drill is None:
            folder, files = api.write_traces(scenario, out, force=force, progress=step)
        else:
            folder, files = api.trace_drill(drill, scenario, out, force=force, progress=step)
    show.left(folder, files)


@app.command("measure", epilog="Example: swimsim trace --out traces && swimsim measure traces/fault.npz")
def measure(
    file: Annotated[str, typer.Argument(metavar="FILE", help="A trace, .npz or .csv, ours or not.")],
    axes: Annotated[
        str | None, typer.Option(help="File axes that give forward, left and up, such as -y,x,z.")
    ] = None,
    unit: Annotated[str | None, typer.Option(help="m, cm or mm.")] = None,
    rate: Annotated[float | None, typer.Option(help="Frames per second, if the file has no times.")] = None,
    map: Annotated[
        str | None, typer.Option(metavar="FILE", help="Their joint names to ours: .toml, .json, .csv.")
    ] = None,
    camera: Annotated[
        str | None,
        typer.Option(metavar="FILE|VIEW", help="Of pixels: a camera file, or a view; else FILE with .json."),
    ] = None,
    stature: Annotated[float | None, typer.Option(help="Of pixels: the swimmer's height in metres.")] = None,
    speed: Annotated[
        float | None, typer.Option(help="Of pixels: speed in m/s of a camera that moves along.")
    ] = None,
    scale: Annotated[
        str, typer.Option(help="Of pixels: where metres come from: camera, body or none.")
    ] = "camera",
    filmed: Annotated[
        float | None, typer.Option(help="Of pixels: frames per second taken, for slow motion saved slower.")
    ] = None,
    in_picture: Annotated[
        bool, typer.Option("--in-picture", help="Of pixels: angles as they look, not in space.")
    ] = False,
    spread: Annotated[
        bool, typer.Option("--spread", help="Median and spread over strokes, breathing strokes apart.")
    ] = False,
    out: Annotated[
        str | None, typer.Option(metavar="FILE", help="Also write the measures as .csv or .json.")
    ] = None,
) -> None:
    """What the blind reader makes of any trace, or of the points that one camera gave."""
    from .. import api
    from . import show

    told = {"stature_m": stature, "speed_m_s": speed, "rate_hz": rate, "filmed_hz": filmed}
    known = {key: value for key, value in told.items() if value is not None}
    if camera is not None or api.is_seen_csv(file):
        result = api.measure_film(
            file, camera=camera, known=known, scale=scale, in_picture=in_picture, joint_map=map, out=out
        )
    else:
        result = api.measure(file, axes=axes, unit=unit, rate_hz=rate, joint_map=map, out=out)
    show.notes(result.notes)
    if spread:
        show.spreads(api.over_strokes(result.reading))
    else:
        show.measures(result.rows)
    if result.nothing:
        raise typer.Exit(say(f"{file}: nothing could be measured: {result.nothing}", code=2))


@app.command("doctor", epilog="Example: swimsim doctor")
def doctor() -> None:
    """Is this machine able: versions, video writer, fonts, one stroke timed."""
    from .. import api
    from . import show

    checks = api.doctor()
    show.checks(checks)
    if not all(check.able for check in checks):
        raise typer.Exit(3)


def _no_quiz(quiz: bool) -> None:
    """A drill hides nothing."""
    from ..ground.errors import InputError

    if quiz:
        raise InputError("--quiz: expected no --drill with it: a drill always says what it is")
