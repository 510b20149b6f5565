"""Errors that reach a person: one clear text each, and the exit code of the command line."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


class InputError(ValueError):
    """The input is wrong. The text names the file or field, what was expected and what came (exit code 2)."""

    exit_code = 2


class MachineError(RuntimeError):
    """The machine lacks something. The text says what to install (exit code 3)."""

    exit_code = 3


class UnreachableError(InputError):
    """A target that this body cannot reach. The text names the reachable range."""


def not_text(error: UnicodeDecodeError) -> str:
    """What to say of a file that is no text."""
    return f"expected text in UTF-8, got other bytes at position {error.start}"


def nearest(word: str, known: Iterable[str]) -> str:
    """`did you mean ...` for a misspelt word, or the list of known words if none is near."""
    known = sorted(known)
    close = difflib.get_close_matches(str(word), known, n=1, cutoff=0.5)
    return f"did you mean '{close[0]}'?" if close else "known: " + ", ".join(known)
