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

import contextlib
import hashlib
import json
import os
import re
import shlex
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from ..ground.errors import InputError
from ..ground.files import write_seen_csv, write_trace
from ..ground.records import Finding, Seen, Trace
from ..ground.seen_files import camera_path, write_camera
from ..metrics import Reading
from .answers import findings_from
from .given import Given, given_from, points_of_file
from .judge_host import ENTRY_POINTS, host
from .looking import Judge, ours, read

__all__ = [
    "ENTRY_POINTS", "TIME_LIMIT_S", "CallableJudge", "CommandJudge", "JudgeSpec", "OwnJudge", "findings_from",
    "make_judge",
]  # fmt: skip

TIME_LIMIT_S = 10.0
START_LIMIT_S = 60.0
NO_COMMAND = (126, 127)  # how a shell ends that cannot run what it was told


@dataclass(frozen=True)
class JudgeSpec:
    """Somebody else's detector: its name as given, how long it may take for one clip [s], and a hash of its files."""

    name: str
    time_limit_s: float = TIME_LIMIT_S
    files: str = ""

    @property
    def is_command(self) -> bool:
        """Whether it is a command and no Python callable."""
        return "{in}" in self.name or "{out}" in self.name


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
            _end_group(self._process.pid)
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


class CommandJudge:
    """A command that reads our files and writes a JSON file; `failure`, `notes` and `said` as of a callable."""

    def __init__(self, spec: JudgeSpec) -> None:
        self.spec, self.failure, self.notes, self.said, self._pid = spec, None, (), "", None
        self.given: Given | None = None
        for place in ("{in}", "{out}"):
            if place not in spec.name:
                raise InputError(
                    f"detector '{spec.name}': expected a command with {{in}} and {{out}}, got no {place}"
                )
        self._words = _words(spec.name)
        if shutil.which(self._words[0]) is None:
            raise InputError(f"detector '{spec.name}': cannot be started: no such command '{self._words[0]}'")
        self.files = hash_of(_files_named(self._words))

    def __call__(self, data: Trace | Seen, reading: Reading) -> tuple[Finding, ...]:
        """Findings of one clip; none, and `failure` set, where it went wrong."""
        self.failure, notes = None, []
        self.notes, self.said, self.given = (), "", None
        with tempfile.TemporaryDirectory(prefix="swimsim-detector-") as folder:
            given, made = Path(folder) / "points.csv", Path(folder) / "findings.json"
            (write_trace if isinstance(data, Trace) else write_seen_csv)(data, given)
            if isinstance(data, Seen):
                write_camera(data, camera_path(given))
            try:
                self._run([w.replace("{in}", str(given)).replace("{out}", str(made)) for w in self._words])
                answer = _answer(made, data)
                self.given = given_from(answer, (data, reading), read, notes=notes, where=made.name)
                self.notes = tuple(dict.fromkeys(notes))
                return self.given.findings
            except subprocess.TimeoutExpired:
                self.failure = f"no answer in {self.spec.time_limit_s:g} s"
            except (OSError, InputError) as error:
                self.failure = _without_paths(str(error), given, made)
        return ()

    def _run(self, words: list[str]) -> None:
        """Run the command to its end, or to the time limit; nothing that it started in its group outlives it."""
        pipe = subprocess.PIPE
        process = subprocess.Popen(
            words, stdin=subprocess.DEVNULL, stdout=pipe, stderr=pipe, start_new_session=True
        )
        self._pid = process.pid
        try:
            out, err = process.communicate(timeout=self.spec.time_limit_s)
        finally:
            _end_group(process.pid)
            self._pid = None
            process.stdout.close()
            process.stderr.close()
            process.wait()
        self.said = out.decode(errors="replace")
        if process.returncode:
            raise InputError(
                f"exit code {process.returncode}: {_last_words(err.decode(errors='replace'))}".rstrip(": ")
            )

    def stop(self) -> None:
        """End the command of the clip that is being judged."""
        if self._pid is not None:
            _end_group(self._pid)

    def close(self) -> None:
        """Nothing to end: each clip has its own process."""


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


def hash_of(files: Iterable[str | os.PathLike]) -> str:
    """One hash of the names and contents of files, whatever folder they lie in."""
    total = hashlib.sha256()
    for path in map(Path, files):
        with open(path, "rb") as file:
            total.update(path.name.encode() + hashlib.file_digest(file, "sha256").digest())
    return total.hexdigest()[:16]


def _words(command: str) -> list[str]:
    try:
        return shlex.split(command)
    except ValueError as error:
        raise InputError(
            f"detector '{command}': expected a command as a shell has it, got: {error}"
        ) from error


def _files_named(words: list[str]) -> list[str]:
    """Files that a command names: the program, its script, a file after `=`."""
    named = [shutil.which(words[0]), *(part for word in words[1:] for part in (word, word.partition("=")[2]))]
    return [name for name in dict.fromkeys(named) if name and Path(name).is_file()]


def _answer(made: Path, data: Trace | Seen) -> Any:
    """What the command wrote: JSON, or a CSV of points of the kind that it was given."""
    if made.is_file():
        with open(made, "rb") as file:
            start = file.read(2000).decode(errors="replace").lstrip("\ufeff \t\r\n")
        if any(mark in start.partition("\n")[0] for mark in ("_x_px", "_x_m")):
            return points_of_file(made.rename(made.with_suffix(".csv")), data)
    return _json(made)


def _json(made: Path) -> Any:
    """What the command wrote.

    Raises
    ------
    InputError
        Nothing, or no JSON.
    """
    if not made.is_file():
        raise InputError("the command left no {out} file")
    text = made.read_bytes().decode(errors="replace")
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as error:
        begins = f"begins '{' '.join(text.split())[:30]}'" if text.strip() else "it is empty"
        raise InputError(f"{made.name} is not JSON; {begins}") from error


def _last_words(text: str) -> str:
    """The last line of what went to standard error, and the place that a Python traceback names."""
    last = next((line.strip() for line in reversed(text.splitlines()) if line.strip()), "")
    places = re.findall(r'File "([^"]+)", line (\d+)', text)
    return f"{last} ({Path(places[-1][0]).name}:{places[-1][1]})" if places else last


def _without_paths(text: str, given: Path, made: Path) -> str:
    """No names of the folder of one clip, so that the same trouble reads the same in every clip."""
    return text.replace(str(given), "{in}").replace(str(made), "{out}").replace(str(given.parent), "{folder}")


def _end_group(group: int) -> None:
    """End every process of a group."""
    with contextlib.suppress(ProcessLookupError, PermissionError):
        os.killpg(group, signal.SIGKILL)
