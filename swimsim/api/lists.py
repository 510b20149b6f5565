"""What there is, what it looks like, and whether this machine is able."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from ..ground.errors import InputError
from ..scenario.listing import details, listing


def draw_views(
    out: str | os.PathLike = "views.png", *, what: str | None = "views", name: str | None = None
) -> Path:
    """Write one PNG with a picture of each view, or of the named one, and the line to type.

    Raises InputError for a list without pictures.
    """
    from ..teaching.view_pictures import write_views

    if what != "views":
        raise InputError(f"--out: expected `list views` with it, got the list {what or 'of lists'}")
    if name is not None:
        details(what, name)
    write_views(out, [row for row in listing(what) if name in (None, row["name"])])
    return Path(out)


def small_views(columns: int) -> dict[str, Any]:
    """A coarse picture of each view for a terminal: (rows, 2, columns, 3) colours of half letters."""
    from ..teaching.view_pictures import coarse_views

    return coarse_views([row["name"] for row in listing("views")], columns)


def doctor() -> list:
    """Every check of this machine: `name`, `able`, `found`, `remedy`."""
    from ..validation.machine import check_machine

    return check_machine()
