"""Other people's detectors, judged as ours: each in a process of its own, with a time limit.

A detector is named in one of three ways:

- `detector.py:find` or `package.module:find`: a Python callable that is given a Trace or a Seen and returns findings;
- a name that an installed package offers under the entry points `swimsim.detectors`, the same callable;
- a command with `{in}` and `{out}` in it: `{in}` becomes a CSV file that we write, `{out}` a JSON file that it writes;
  in the view of one camera, a file beside `{in}` whose name ends in `.json` holds the camera.

Instead of findings it may give measures or points of its own, which are read on as ours are: see `given`.
A crash, a hang or an answer that cannot be read leaves nothing found in that clip, so it counts as a miss, and goes on.
"""

from __future__ import annotations

from collections.abc import Iterable
from multiprocessing import get_context

from ..ground.errors import InputError
from ..ground.records import Finding, Seen, Trace
from ..metrics import Reading
from .answers import findings_from
from .command_judge import NO_COMMAND, CommandJudge
from .given import Given, given_from
from .judge_host import ENTRY_POINTS, host
from .judge_spec import TIME_LIMIT_S, JudgeSpec, end_group, hash_of
from .looking import Judge, ours, read

__all__ = [
    "ENTRY_POINTS", "NO_COMMAND", "TIME_LIMIT_S", "CallableJudge", "CommandJudge", "JudgeSpec", "OwnJudge",
    "findings_from", "make_judge",
]  # fmt: skip

START_LIMIT_S = 60.0


class OwnJudge:
    """The detectors of the package, with the same door as the others."""

    given: Given | None = None
    failure: str | None = None
    notes: tuple[str, ...] = ()
    said: str = ""

    def __call__(self, data: Trace | Seen, reading: Reading) -> tuple[Finding, ...]:
        """Findings from the reading."""
        return ours(data, reading)

    def close(self) -> None:
        """Nothing to end."""


class CallableJudge:
    """A Python callable in a process of its own, which is started anew after a crash or a hang.

    After a clip, `failure` says why there is no answer, `notes` what was left out of it, `said` what it printed.
    """

    def __init__(self, spec: JudgeSpec) -> None:
        self.spec, self.failure, self.notes, self.said = spec, None, (), ""
        self.given: Given | None = None
        self._start()

    def __call__(self, data: Trace | Seen, reading: Reading) -> tuple[Finding, ...]:
        """Findings of one clip; none, and `failure` set, where it went wrong."""
        self.failure, notes = None, []
        self.notes, self.said, self.given = (), "", None
        try:
            if not self._process.is_alive():
                self._start()
            self._pipe.send(data)
            if not self._pipe.poll(self.spec.time_limit_s):
                return self._failed(f"no answer in {self.spec.time_limit_s:g} s")
            answer, trouble, self.said = self._pipe.recv()
            if trouble is not None:
                return self._failed(trouble, end=False)
            where = self.spec.name.rpartition(":")[2]
            self.given = given_from(answer, (data, reading), read, notes=notes, where=where)
            self.notes = tuple(dict.fromkeys(notes))
            return self.given.findings
        except InputError as error:
            return self._failed(str(error), end=False)
        except EOFError:
            return self._failed("its process ended")
        except OSError as error:
            return self._failed(error.strerror or "its process ended")

    def close(self) -> None:
        """End the process and what it started."""
        self._pipe.close()
        self.stop()
        self._process.join()

    def stop(self) -> None:
        """End the process and what it started, without waiting."""
        if not self._ended:
            self._ended = True
            end_group(self._process.pid)
            self._process.kill()

    def _failed(self, why: str, *, end: bool = True) -> tuple[Finding, ...]:
        self.failure = why
        if end:
            self.stop()
            self._process.join()
        return ()

    def _start(self) -> None:
        """Start the process and wait until the callable is found.

        Raises
        ------
        InputError
            It cannot be found or imported.
        """
        spawn = get_context("spawn")
        self._pipe, theirs = spawn.Pipe()
        self._process = spawn.Process(target=host, args=(theirs, self.spec.name), daemon=True)
        self._process.start()
        self._ended = False
        theirs.close()
        trouble, files = ("no answer", ()) if not self._pipe.poll(START_LIMIT_S) else self._first_word()
        if trouble is not None:
            self.close()
            raise InputError(f"detector '{self.spec.name}': cannot be started: {trouble}")
        self.files = hash_of(files)

    def _first_word(self) -> tuple[str | None, Iterable[str]]:
        try:
            return self._pipe.recv()[:2]
        except EOFError:
            return "its process ended", ()


def make_judge(spec: JudgeSpec | None) -> Judge:
    """The judge that a name stands for; the package's own for None.

    Raises
    ------
    InputError
        A callable that cannot be found, a command that is not there or has no place to read from or write to.
    """
    if spec is None:
        return OwnJudge()
    return CommandJudge(spec) if spec.is_command else CallableJudge(spec)
