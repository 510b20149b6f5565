"""Other people's detectors, judged as ours: each in a process of its own, with a time limit.

A detector is named in one of three ways:

- `detector.py:find` or `package.module:find`: a Python callable that is given a Trace or a Seen and returns findings;
- a name that an installed package offers under the entry points `swimsim.detectors`, the same callable;
- a command with `{in}` and `{out}` in it: `{in}` becomes a CSV file that we write, `{out}` a JSON file that it writes.

A finding is a `Finding`, or a mapping with `fault` and `present`, and where known `side`, `severity` and `score`. A
crash, a hang or an answer that cannot be read leaves nothing found in that clip, so it counts as a miss, and goes on.
"""

from __future__ import annotations

import json
import math
import shlex
import subprocess
import tempfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from ..ground.conventions import SIDES
from ..ground.errors import InputError, nearest
from ..ground.files import write_seen_csv, write_trace
from ..ground.records import Finding, Seen, Trace
from ..ground.tables import read_toml
from ..metrics import Reading
from .looking import Judge, ours

TIME_LIMIT_S = 10.0
START_LIMIT_S = 60.0
ENTRY_POINTS = "swimsim.detectors"


@dataclass(frozen=True)
class JudgeSpec:
    """Somebody else's detector: its name as given, and how long it may take for one clip. [s]"""

    name: str
    time_limit_s: float = TIME_LIMIT_S

    @property
    def is_command(self) -> bool:
        """Whether it is a command and no Python callable."""
        return "{in}" in self.name


class OwnJudge:
    """The detectors of the package, with the same door as the others."""

    failure: str | None = None

    def __call__(self, data: Trace | Seen, reading: Reading) -> tuple[Finding, ...]:
        """Findings from the reading."""
        return ours(data, reading)

    def close(self) -> None:
        """Nothing to end."""


class CallableJudge:
    """A Python callable in a process of its own, which is started anew after a crash or a hang."""

    def __init__(self, spec: JudgeSpec) -> None:
        self.spec, self.failure = spec, None
        self._start()

    def __call__(self, data: Trace | Seen, reading: Reading) -> tuple[Finding, ...]:
        """Findings of one clip; none, and `failure` set, where it went wrong."""
        self.failure = None
        try:
            if not self._process.is_alive():
                self._start()
            self._pipe.send(data)
            if not self._pipe.poll(self.spec.time_limit_s):
                return self._failed(f"no answer in {self.spec.time_limit_s:g} s")
            answer, trouble = self._pipe.recv()
            return findings_from(answer) if trouble is None else self._failed(trouble, end=False)
        except (EOFError, OSError, InputError) as error:
            return self._failed(str(error) or "its process ended", end=not isinstance(error, InputError))

    def close(self) -> None:
        """End the process."""
        self._pipe.close()
        self._process.kill()
        self._process.join()

    def _failed(self, why: str, *, end: bool = True) -> tuple[Finding, ...]:
        self.failure = why
        if end:
            self._process.kill()
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
        self._process = spawn.Process(target=_host, args=(theirs, self.spec.name), daemon=True)
        self._process.start()
        theirs.close()
        trouble = "no answer" if not self._pipe.poll(START_LIMIT_S) else self._first_word()
        if trouble is not None:
            self.close()
            raise InputError(f"detector '{self.spec.name}': cannot be started: {trouble}")

    def _first_word(self) -> str | None:
        try:
            return self._pipe.recv()
        except EOFError:
            return "its process ended"


class CommandJudge:
    """A command that reads our files and writes a JSON file."""

    def __init__(self, spec: JudgeSpec) -> None:
        self.spec, self.failure = spec, None
        if "{out}" not in spec.name:
            raise InputError(
                f"detector '{spec.name}': expected a command with {{in}} and {{out}}, got no {{out}}"
            )

    def __call__(self, data: Trace | Seen, reading: Reading) -> tuple[Finding, ...]:
        """Findings of one clip; none, and `failure` set, where it went wrong."""
        self.failure = None
        with tempfile.TemporaryDirectory(prefix="swimsim-detector-") as folder:
            given, made = Path(folder) / "points.csv", Path(folder) / "findings.json"
            (write_trace if isinstance(data, Trace) else write_seen_csv)(data, given)
            words = [
                w.replace("{in}", str(given)).replace("{out}", str(made)) for w in shlex.split(self.spec.name)
            ]
            try:
                run = subprocess.run(
                    words,
                    capture_output=True,
                    timeout=self.spec.time_limit_s,
                    check=False,
                    stdin=subprocess.DEVNULL,
                )
                if run.returncode:
                    last = run.stderr.decode(errors="replace").strip().splitlines()[-1:] or [""]
                    raise InputError(f"exit code {run.returncode}: {last[0]}")
                return findings_from(json.loads(made.read_text(encoding="utf-8")))
            except subprocess.TimeoutExpired:
                self.failure = f"no answer in {self.spec.time_limit_s:g} s"
            except (OSError, ValueError, InputError) as error:
                self.failure = str(error)
        return ()

    def close(self) -> None:
        """Nothing to end: each clip has its own process."""


def make_judge(spec: JudgeSpec | None) -> Judge:
    """The judge that a name stands for; the package's own for None.

    Raises
    ------
    InputError
        A callable that cannot be found, or a command without a place to write to.
    """
    if spec is None:
        return OwnJudge()
    return CommandJudge(spec) if spec.is_command else CallableJudge(spec)


def findings_from(answer: Any) -> tuple[Finding, ...]:
    """Findings from what a detector returned or wrote: a list, or a mapping with the list under `findings`.

    Raises
    ------
    InputError
        No such list, an unknown fault or side, or a value of the wrong kind; the first wrong one.
    """
    rows = answer.get("findings") if isinstance(answer, Mapping) else answer
    if not isinstance(rows, Iterable) or isinstance(rows, (str, bytes)):
        raise InputError(f"expected a list of findings, got {type(rows).__name__}")
    return tuple(row if isinstance(row, Finding) else _finding(row) for row in rows)


def _finding(row: Any) -> Finding:
    if not isinstance(row, Mapping):
        raise InputError(f"finding: expected a mapping, got {type(row).__name__}")
    known = read_toml("definitions")["detector"]
    fault, side, present = row.get("fault"), row.get("side") or "both", row.get("present")
    if fault not in known:
        raise InputError(f"finding: fault: got {fault!r}; {nearest(str(fault), known)}")
    if side not in (*SIDES, "both"):
        raise InputError(f"finding {fault}: side: expected left, right or both, got {side!r}")
    if not isinstance(present, bool):
        raise InputError(f"finding {fault}: present: expected true or false, got {present!r}")
    severity, score = (_number(row, key) for key in ("severity", "score"))
    if math.isnan(score):
        score = float(present) if math.isnan(severity) else severity
    return Finding(
        fault, side, present, severity, _number(row, "severity_low"), _number(row, "severity_high"), (), score
    )


def _number(row: Mapping, key: str) -> float:
    value = row.get(key)
    if value is None:
        return math.nan
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise InputError(f"finding {row.get('fault')}: {key}: expected a number, got {value!r}")
    return float(value)


def _host(pipe: Any, name: str) -> None:
    """In the detector's own process: find the callable, then answer clip after clip until the pipe closes."""
    try:
        find = _callable(name)
    except BaseException as error:
        pipe.send(f"{type(error).__name__}: {error}")
        return
    pipe.send(None)
    while True:
        try:
            data = pipe.recv()
        except EOFError:
            return
        try:
            answer = find(data)
            pipe.send((answer if isinstance(answer, Mapping) else list(answer), None))
        except Exception as error:
            pipe.send((None, f"{type(error).__name__}: {error}"))


def _callable(name: str) -> Any:
    import pkgutil
    import sys
    from importlib import util
    from importlib.metadata import entry_points

    offered = {point.name: point for point in entry_points(group=ENTRY_POINTS)}
    if name in offered:
        return offered[name].load()
    where, _, function = name.rpartition(":")
    if not where:
        raise ValueError(
            f"expected FILE.py:FUNCTION, MODULE:FUNCTION or one of the entry points {sorted(offered)}"
        )
    if not where.endswith(".py"):
        sys.path.insert(0, "")
        return pkgutil.resolve_name(name)
    sys.path.insert(0, str(Path(where).resolve().parent))
    plan = util.spec_from_file_location(Path(where).stem, where)
    module = util.module_from_spec(plan)
    sys.modules[plan.name] = module
    plan.loader.exec_module(module)
    if not hasattr(module, function):
        raise ValueError(f"{where} has no '{function}'")
    return getattr(module, function)
