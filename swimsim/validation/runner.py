"""Run a design over all cores: records go to a file line by line, and a killed run goes on where it stopped.

The file `records.jsonl` starts with a head (design, version, detector and a hash of its files); every unit ends with a
line that says it is done. Lines of a unit without that line are thrown away on the next start, and so are all lines of
a detector that has changed since, and the units in which it failed. Units in flight are few, so memory does not
grow with the number of swims.
"""

from __future__ import annotations

import dataclasses
import json
import os
import signal
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from ..ground.atomic import whole_file
from ..ground.errors import InputError, MachineError
from ..ground.version import VERSION
from .design import Design, Unit, units
from .judges import JudgeSpec, make_judge
from .work import Record, do, ways_for

RECORDS = "records.jsonl"
Progress = Callable[[str, int, int], None]
_IN_FLIGHT = 3  # units for each worker
_judge: Any = None
_OF_JUDGE = ("detector_files", "time_limit_s")  # keys of the head that tell how a detector was when it judged


def run_design(
    design: Design,
    folder: Path,
    *,
    judge: JudgeSpec | None = None,
    processes: int | None = None,
    force: bool = False,
    progress: Progress = lambda text, done, total: None,
    tell: Callable[[str], None] = lambda text: None,
) -> Path:
    """Do every unit of a design that is not done yet; returns the path of the records.

    Parameters
    ----------
    folder : Path
        Made if it is not there.
    judge : JudgeSpec, optional
        Somebody else's detector; default the package's own.
    processes : int, optional
        Default all cores that this process may use.
    force : bool
        Throw away the records of another design.
    tell : callable
        Is told in one line what was taken from an earlier run, or why nothing was.

    Raises
    ------
    InputError
        The folder holds the records of another design.
    MachineError
        A worker was killed, such as for want of memory.
    """
    judge = _known(judge)
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / RECORDS
    head = {"design": design.text(), "version": VERSION, "detector": judge.name if judge else "swimsim"}
    if judge is not None:
        head |= {"detector_files": judge.files, "time_limit_s": judge.time_limit_s}
    done = _taken_up(path, head, force=force, tell=tell)
    work = units(design)
    if taken := sum("view" in line for line in read_lines(path)):
        of = sum(map(len, (ways for unit in work for ways in _clips(unit, design))))
        refused = sum(len(ways_for(design, line["fault"])) for line in read_lines(path) if "refused" in line)
        tell(f"{taken} of {of - refused} clips taken from the earlier run in {folder}")
    left = [unit for unit in work if unit.name not in done]
    left.sort(key=lambda unit: -len(unit.cells))  # the longest first: no worker is left with one at the end
    count = processes or len(os.sched_getaffinity(0))
    progress("swimming and judging", len(work) - len(left), len(work))
    with open(path, "a", encoding="utf-8") as file:
        for number, (unit, records) in enumerate(
            _results(left, design, judge, count), len(work) - len(left) + 1
        ):
            file.write("".join(map(_line, [*records, {"unit": unit.name, "done": True}])))
            file.flush()
            progress("swimming and judging", number, len(work))
    return path


def _known(judge: JudgeSpec | None) -> JudgeSpec | None:
    """The detector with the hash of its files; one that cannot be started is refused before anything is swum."""
    if judge is None or judge.files:
        return judge
    made = make_judge(judge)
    made.close()
    return dataclasses.replace(judge, files=made.files)


def _clips(unit: Unit, design: Design) -> Iterator[list]:
    """The ways of each swim of a unit."""
    yield from (ways_for(design, fault) for fault in [*[None] * unit.clean, *(c.fault for c in unit.cells)])


def _taken_up(path: Path, head: Record, *, force: bool, tell: Callable[[str], None]) -> set[str]:
    """Names of the units that are done; the file then holds these alone, under its head."""
    old = next(read_lines(path), None) if path.is_file() else None
    if old is not None and _lasting(old) != _lasting(head) and not force:
        raise InputError(
            f"{path}: expected the records of this design, got those of {_other(old, head)}; "
            "choose another folder, or --force to start anew"
        )
    if old is not None and old != head and _lasting(old) == _lasting(head):
        what = "time limit" if old.get("detector_files") == head["detector_files"] else "detector"
        tell(f"your {what} has changed since the earlier run in {path.parent}: every clip is judged anew")
    done = {line["unit"] for line in read_lines(path) if line.get("done")} if old == head else set()
    done -= {line["unit"] for line in read_lines(path) if line.get("failed")} if done else set()
    with whole_file(path) as part, open(part, "w", encoding="utf-8") as file:
        file.write(_line(head))
        for record in read_lines(path) if done else ():
            if record.get("unit") in done:
                file.write(_line(record))
    return done


def _lasting(head: Record) -> Record:
    return {key: value for key, value in head.items() if key not in _OF_JUDGE}


def _other(old: Record, head: Record) -> str:
    """In what records differ that cannot be taken up."""
    if old.get("detector") != head["detector"]:
        return f"another detector ('{old.get('detector')}')"
    return "another design" if old.get("version") == head["version"] else f"version {old.get('version')}"


def _line(record: Record) -> str:
    return json.dumps(record, separators=(",", ":")) + "\n"


def read_lines(path: Path) -> Iterator[Record]:
    """The lines of a record file; a last line that was cut off is left out."""
    with open(path, encoding="utf-8") as file:
        for line in file:
            try:
                yield json.loads(line)
            except json.JSONDecodeError:
                return


def _results(
    left: list[Unit], design: Design, judge: JudgeSpec | None, count: int
) -> Iterator[tuple[Unit, list[Record]]]:
    """Units with their records, as they come; in this process for one worker."""
    if count == 1 or len(left) < 2:
        made = make_judge(judge)
        try:
            for unit in left:
                yield unit, list(do(unit, design, judge=made))
        finally:
            made.close()
        return
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read by the workers as they start
    pool = ProcessPoolExecutor(min(count, len(left)), get_context("spawn"), _start, (judge,))
    try:
        yield from _in_flight(pool, left, design, _IN_FLIGHT * count)
    except BrokenProcessPool as error:
        raise MachineError(
            "validate: a worker was killed; free some memory and run the same line again"
        ) from error
    finally:
        pool.shutdown(wait=False, cancel_futures=True)


def _in_flight(
    pool: ProcessPoolExecutor, left: list[Unit], design: Design, most: int
) -> Iterator[tuple[Unit, list[Record]]]:
    waiting, running = iter(left), {}
    while True:
        for unit in waiting:
            running[pool.submit(_work, unit, design)] = unit
            if len(running) >= most:
                break
        if not running:
            return
        for future in wait(running, return_when=FIRST_COMPLETED).done:
            yield running.pop(future), future.result()


def _start(judge: JudgeSpec | None) -> None:
    """In each worker: its own judge; a stop from the keyboard is the parent's business, but ends a detector at work."""
    global _judge
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _judge = make_judge(judge)
    if judge is not None:
        signal.signal(signal.SIGINT, lambda *_: _judge.stop())


def _work(unit: Unit, design: Design) -> list[Record]:
    return list(do(unit, design, judge=_judge))
