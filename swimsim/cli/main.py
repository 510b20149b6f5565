"""The program `swimsim`: exit codes (0 done, 1 fell short, 2 wrong input, 3 machine) and errors in one line."""

from __future__ import annotations

import os
import sys

from . import cost, film, validate, verbs  # noqa: F401  hangs its verbs on the program
from .app import app, say

_AGAIN = "install the project again: python -m pip install . (in its folder)"
STOPPED = 130  # exit code of a program stopped from the keyboard, as shells have it
_STOPPED = "stopped; nothing half-written was left"


def main(arguments: list[str] | None = None) -> None:
    """Run the command line and leave with its exit code; a closed terminal stops it as the keyboard does."""
    import signal

    for name in ("SIGTERM", "SIGHUP"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.default_int_handler)
    sys.exit(run_program(sys.argv[1:] if arguments is None else arguments))


def run_program(arguments: list[str]) -> int:
    """Run the command line; every error becomes one line on standard error and an exit code."""
    try:
        code = app(args=arguments, prog_name="swimsim", standalone_mode=False) or 0
        return say(_STOPPED, code=code) if code == STOPPED else code
    except KeyboardInterrupt:
        return say(_STOPPED, code=STOPPED)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as error:
        return _explain(error)


def _explain(error: Exception) -> int:
    if os.environ.get("SWIMSIM_DEBUG"):
        raise error
    if hasattr(error, "format_message"):
        text = error.format_message() or "expected a verb"
        if text.startswith("No such command") and "Did you mean" not in text:
            text += " Known: " + ", ".join(command.name or "" for command in app.registered_commands)
        return say(f"{' '.join(text.split())} (swimsim --help)", code=2)
    if type(error).__name__ == "Abort":
        return say(_STOPPED, code=STOPPED)
    if hasattr(error, "exit_code"):
        return say(str(error), code=error.exit_code)
    if isinstance(error, ModuleNotFoundError):
        return say(f"the package '{error.name}' is missing; {_AGAIN}", code=3)
    if isinstance(error, MemoryError):
        return say("not enough memory; choose fewer seconds, frames or pixels", code=3)
    text = " ".join(str(error).split())
    return say(f"unexpected: {type(error).__name__}: {text} (SWIMSIM_DEBUG=1 shows where)", code=3)
