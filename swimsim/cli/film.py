"""The verb that films: what a camera gives, with its losses."""

from __future__ import annotations

from typing import Annotated

import typer

from .app import Force, Source, app


@app.command("film", epilog='Example: swimsim film early_exit --condition "pool deck" --out filmed')
def film(
    scenario: Source = None,
    condition: Annotated[
        str, typer.Option(help="exact, square, pool deck, good action camera or bad day.")
    ] = "square",
    view: Annotated[
        list[str] | None, typer.Option(help="A view, may be given again; else the scenario's.")
    ] = None,
    seed: Annotated[int | None, typer.Option(help="Of noise and losses; else the scenario's.")] = None,
    out: Annotated[str, typer.Option(help="Folder to make.")] = "swimsim-film",
    force: Force = False,
) -> None:
    """The points one camera gives, noisy and with gaps, and the camera the coach believes in; for `measure`."""
    from .. import api
    from . import show

    with show.progress() as step:
        folder, files = api.film(
            scenario, out, condition=condition, views=view, seed=seed, force=force, progress=step
        )
    show.left(folder, files)
