"""What every public function needs: a scenario from whatever was handed in, and silent progress."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from typing import Any

from ..scenario.models import Scenario
from ..scenario.read import read_scenario

Source = str | os.PathLike | Mapping[str, Any] | Scenario | None
Step = Callable[[str, int, int], None]


def silent(text: str, done: int, total: int) -> None:
    """Progress that nobody watches."""


def as_scenario(source: Source) -> Scenario:
    """The scenario itself, or the one that a path, name or mapping tells."""
    return source if isinstance(source, Scenario) else read_scenario(source)
