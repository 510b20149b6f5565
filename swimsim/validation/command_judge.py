"""A command as a detector: it reads the CSV that we write, and leaves JSON, or a CSV of points."""

from __future__ import annotations

import json
import re
import shlex
import shutil
import subprocess
import tempfile
from pathlib import Path
from typing import Any

from ..ground.errors import InputError
from ..ground.files import write_seen_csv, write_trace
from ..ground.records import Finding, Seen, Trace
from ..ground.seen_files import camera_path, write_camera
from ..metrics import Reading
from .given import Given, given_from, points_of_file
from .judge_spec import JudgeSpec, end_group, hash_of
from .looking import read

NO_COMMAND = (126, 127)  # how a shell ends that cannot run what it was told
SCRIPTS = (".awk", ".jl", ".js", ".m", ".pl", ".py", ".r", ".rb", ".sh")


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
        for word in self._words[1:]:
            if word.lower().endswith(SCRIPTS) and "{" not in word and not Path(word).is_file():
                raise InputError(f"detector '{spec.name}': cannot be started: no such file '{word}'")
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
            end_group(process.pid)
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
            end_group(self._pid)

    def close(self) -> None:
        """Nothing to end: each clip has its own process."""


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
