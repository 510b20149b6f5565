"""Captions beside a clip, as WebVTT (W3C): numbered cues of one or two short lines.

Length of a line and number of lines: broadcast habit (common practice).
"""

from __future__ import annotations

import os
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from swimsim.ground.atomic import check_ours, whole_file
from swimsim.ground.conventions import MODEL_LINE
from swimsim.ground.errors import InputError

LINES, LETTERS = 2, 42


@dataclass(frozen=True)
class Cue:
    """Words shown from `start_s` until `end_s`. [s]"""

    start_s: float
    end_s: float
    text: str


def caption_lines(text: str) -> list[str]:
    """The caption in lines of at most 42 letters.

    Raises
    ------
    InputError
        More than two lines.
    """
    lines = textwrap.wrap(" ".join(text.split()), LETTERS, break_on_hyphens=False)
    if len(lines) > LINES:
        raise InputError(
            f"caption: expected at most {LINES} lines of {LETTERS} letters, got '{text}' ({len(lines)} lines)"
        )
    if len(lines) == LINES:
        return _even(lines)
    return lines


def shortened(text: str) -> str:
    """The caption, or as many of its first words as fit into two lines."""
    words = text.split()
    short = " ".join(words)
    while len(words) > 1 and len(textwrap.wrap(short, LETTERS, break_on_hyphens=False)) > LINES:
        words = words[:-1]
        short = " ".join(words).rstrip(",;:.") + "…"
    return short


def webvtt(cues: Sequence[Cue]) -> str:
    """The text of a WebVTT file.

    Raises
    ------
    InputError
        A caption that is too long, without words, or that ends before it begins; cues out of order.
    """
    blocks = ["WEBVTT", f"NOTE\n{_escaped(MODEL_LINE)}"]
    before = 0.0
    for number, cue in enumerate(cues, 1):
        if not before - 1e-9 <= cue.start_s < cue.end_s:
            raise InputError(
                f"caption {number}: expected times in order, "
                f"got {cue.start_s:.3f} to {cue.end_s:.3f} s after {before:.3f} s"
            )
        lines = [_escaped(line) for line in caption_lines(cue.text)]
        if not lines:
            raise InputError(f"caption {number}: expected words, got none")
        blocks.append("\n".join([str(number), f"{_stamp(cue.start_s)} --> {_stamp(cue.end_s)}", *lines]))
        before = cue.start_s
    return "\n\n".join(blocks) + "\n"


def check_captions(path: str | os.PathLike) -> None:
    """Refuse to write over captions that this program did not write, before any work.

    Raises
    ------
    InputError
    """
    check_ours(Path(path), _escaped(MODEL_LINE))


def write_captions(path: str | os.PathLike, cues: Sequence[Cue]) -> None:
    """Write a WebVTT file, whole or not at all."""
    text = webvtt(cues)
    with whole_file(path) as part:
        Path(part).write_text(text, encoding="utf-8", newline="\n")


def _even(lines: list[str]) -> list[str]:
    """Two lines of like length, broken at the same words or earlier."""
    words = " ".join(lines).split()
    splits = [(" ".join(words[:i]), " ".join(words[i:])) for i in range(1, len(words))]
    fitting = [s for s in splits if max(map(len, s)) <= LETTERS]
    return list(min(fitting, key=lambda s: abs(len(s[0]) - len(s[1])))) if fitting else lines


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _stamp(seconds: float) -> str:
    """`HH:MM:SS.mmm`."""
    whole = round(seconds * 1000)
    return f"{whole // 3_600_000:02d}:{whole // 60_000 % 60:02d}:{whole // 1000 % 60:02d}.{whole % 1000:03d}"
