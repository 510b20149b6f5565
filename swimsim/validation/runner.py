"""Run a design over all cores: records go to a file line by line, and a killed run goes on where it stopped.

The file `records.jsonl` starts with a head (design, version, detector); every unit ends with a line that says it is
done. Lines of a unit without that line are thrown away on the next start. Units in flight are few, so memory does not
grow with the number of swims.
"""

from __future__ import annotations

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
from .work import Record, do

RECORDS = "records.jsonl"
Progress = Callable[[str, int, int], None]
_IN_FLIGHT = 3  # units for each worker
_judge: Any = None


def run_design(
    design: Design,
    folder: Path,
    *,
    judge: JudgeSpec | None = None,
    processes: int | None = None,
    force: bool = False,
    progress: Progress = lambda text, done, total: None,
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

    Raises
    ------
    InputError
        The folder holds the records of another design.
    MachineError
        A worker was killed, such as for want of memory.
    """
    make_judge(judge).close()  # a detector that cannot be started is refused before anything is swum
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / RECORDS
    head = {"design": design.text(), "version": VERSION, "detector": judge.name if judge else "swimsim"}
    done = _taken_up(path, head, force=force)
    work = units(design)
    left = [unit for unit in work if unit.name not in done]
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


def _taken_up(path: Path, head: Record, *, force: bool) -> set[str]:
    """Names of the units that are done; the file then holds these alone, under its head."""
    old = next(read_lines(path), None) if path.is_file() else None
    if old is not None and old != head and not force:
        raise InputError(
            f"{path}: expected the records of this design, got those of another one (or of another version); "
            "choose another folder, or --force to start anew"
        )
    done = {line["unit"] for line in read_lines(path) if line.get("done")} if old == head else set()
    with whole_file(path) as part, open(part, "w", encoding="utf-8") as file:
        file.write(_line(head))
        for record in read_lines(path) if done else ():
            if record.get("unit") in done:
                file.write(_line(record))
    return done


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
    """In each worker: its own judge; a stop from the keyboard is the parent's business."""
    global _judge
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _judge = make_judge(judge)


def _work(unit: Unit, design: Design) -> list[Record]:
    return list(do(unit, design, judge=_judge))
