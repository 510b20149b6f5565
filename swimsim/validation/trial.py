"""One clip before the design starts: a detector that cannot work is refused before minutes of swimming are spent."""

from __future__ import annotations

import dataclasses

from ..ground.errors import InputError
from ..scenario.clean_swimmers import clean_swimmer
from .design import Design
from .judges import NO_COMMAND, JudgeSpec, make_judge
from .looking import look
from .work import ways_for


def try_out(spec: JudgeSpec, design: Design) -> tuple[JudgeSpec, str | None]:
    """Start a detector and ask it about the first clip of a design.

    Returns
    -------
    The detector with the hash of its files, and why it gave no answer; None if it gave one.

    Raises
    ------
    InputError
        It cannot be started: no such file, function or command.
    """
    judge = make_judge(spec)
    try:
        way = ways_for(design, None)[0]
        swum = clean_swimmer(design.seed, 0).swum
        look(swum, way, seed=0, judge=judge, cameras=design.cameras)
        failure = judge.failure
    finally:
        judge.close()
    if failure and spec.is_command and failure.startswith(tuple(f"exit code {code}" for code in NO_COMMAND)):
        raise InputError(f"detector '{spec.name}': cannot be started: {failure}")
    return dataclasses.replace(spec, files=judge.files), failure
