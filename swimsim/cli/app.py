"""The program's verbs are hung on `app`; options that several verbs share."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

app = typer.Typer(
    name="swimsim",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help="A model front-crawl swimmer with one chosen fault beside the same swimmer without it: "
    "clips, exact traces, and what a blind reader makes of them.",
    epilog="Start with: swimsim run",
)

Source = Annotated[
    str | None,
    typer.Argument(metavar="[SCENARIO]", help="A scenario file, or a name from `swimsim list scenarios`."),
]
Force = Annotated[
    bool, typer.Option("--force", help="Write into a folder that holds other files; they stay.")
]


def _version(wanted: bool) -> None:
    if wanted:
        from ..ground.version import VERSION

        typer.echo(f"swimsim {VERSION}")
        raise typer.Exit()


@app.callback()
def _program(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    pass


def say(text: str, *, code: int) -> int:
    """Lines on standard error under the name of the program; returns the exit code."""
    for line in text.splitlines():
        print(f"swimsim: {line}", file=sys.stderr)
    return code
