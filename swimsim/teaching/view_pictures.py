"""Pictures of the named views: the built-in swimmer without the fault, at the start of the left arm's pull."""

from __future__ import annotations

import functools
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from ..ground.atomic import check_file
from ..ground.errors import InputError
from ..scenario.picture import person_of
from ..scenario.play import play
from ..scenario.read import read_scenario
from ..view.views_page import Pose, coarse, view_picture, views_page

CYCLE = 1  # of the left arm


@functools.cache
def pose() -> Pose:
    """The swimmer and the instant that all these pictures show."""
    played = play(read_scenario())
    times = {(e.event, e.side, e.cycle): e.time_s for e in played.correct.truth.events}
    return Pose(
        played.correct.trace, times["start_backward", "left", CYCLE], person=person_of(played.scenario)
    )


def check_picture_path(path: str | os.PathLike) -> None:
    """Refuse a file that is no PNG or lies in no folder, before any work.

    Raises
    ------
    InputError
    """
    check_file(Path(path))
    if Path(path).suffix.lower() != ".png":
        raise InputError(f"{path}: output: expected a file name ending in .png, got '{Path(path).name}'")


def write_views(path: str | os.PathLike, rows: Sequence[dict[str, Any]]) -> None:
    """Write one PNG with a picture of each listed view."""
    check_picture_path(path)
    views_page(path, rows, pose())


def coarse_views(names: Sequence[str], columns: int) -> dict[str, Any]:
    """A coarse picture of each view for a terminal; see `view.views_page.coarse`."""
    return {name: coarse(view_picture(name, pose()), columns) for name in names}
