"""The quiz: two panels that say only A and B, and the answer in a file of its own beside the clip.

Which panel has the fault follows from the scenario's seed and the names of its faults, so that a set of quizzes
with one seed does not give itself away, and the same scenario always makes the same clip.
"""

from __future__ import annotations

import hashlib
import os
from dataclasses import replace
from pathlib import Path

from ..faults.catalogue import fault_named
from ..ground.atomic import check_ours, whole_file
from ..ground.conventions import CAUTION_LINE, MODEL_LINE
from ..scenario.play import Played
from ..view.look import Panel
from .marks import marks_of

LETTERS = ("A", "B")
KEY_END = "_answer.txt"  # of the name of the file with the answer, after the name of the clip


def fault_place(played: Played) -> int:
    """The panel that has the fault: 0 for A, the first, or 1 for B."""
    names = " ".join(sorted(setting.fault for setting in played.fault.faults))
    return hashlib.sha256(f"{played.scenario.seed} {names}".encode()).digest()[0] % 2


def quiz_panels(played: Played) -> list[Panel]:
    """The two swimmers in the order of the quiz, with a letter and nothing that tells."""
    panels = [
        (s.trace, m) for s, m in zip((played.fault, played.correct), marks_of(played, hide=True), strict=True)
    ]
    if fault_place(played):
        panels.reverse()
    return [
        (trace, replace(marks, word=letter)) for (trace, marks), letter in zip(panels, LETTERS, strict=True)
    ]


def answer(played: Played, clip: str, *, alone: bool = False) -> str:
    """The text of the key: which panel has the fault, what it is, and the number of each panel.

    Parameters
    ----------
    clip : str
        File name of the clip.
    alone : bool
        The clip shows the swimmer with the fault by itself.
    """
    faults, (fault, correct) = played.fault.faults, marks_of(played)
    lines = [f"Answer to the quiz in {clip}", ""]
    if not faults:
        lines.append("No fault is set." if alone else "No fault is set: A and B are the same.")
    elif alone:
        lines += [
            f"The fault is: {fault.title}.",
            f"{fault.value}, without the fault {_number(correct.value)}.",
        ]
    else:
        place = fault_place(played)
        lines += [f"The fault is in panel {LETTERS[place]}: {fault.title}."]
        values = (correct.value, fault.value) if place else (fault.value, correct.value)
        lines += [f"Panel {letter}: {value}" for letter, value in zip(LETTERS, values, strict=True) if value]
    lines += [fault_named(setting.fault).says for setting in faults]
    return "\n".join([*lines, "", MODEL_LINE, CAUTION_LINE, ""])


def key_of(clip: str | os.PathLike) -> Path:
    """Where the answer to a quiz lies: beside the clip."""
    path = Path(clip)
    return path.with_name(f"{path.stem}{KEY_END}")


def check_key(clip: str | os.PathLike) -> None:
    """Refuse to write over a file that is no answer of ours, before any work.

    Raises
    ------
    InputError
    """
    check_ours(key_of(clip), MODEL_LINE)


def write_answer(played: Played, clip: str | os.PathLike) -> str:
    """Write the key beside the clip, whole or not at all; returns its file name."""
    path, alone = key_of(clip), played.scenario.output.layout == "single"
    check_key(clip)
    with whole_file(path) as part:
        part.write_text(answer(played, Path(clip).name, alone=alone), encoding="utf-8", newline="\n")
    return path.name


def _number(value: str) -> str:
    return value.rpartition(": ")[2]
