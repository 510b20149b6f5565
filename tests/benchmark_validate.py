"""How a validation spends its time, and two workers against one; prints, never passes or fails.

Run: `python tests/benchmark_validate.py` (about two minutes on two idle cores; `--swimmers 2` for a short look).
Other work on the machine stretches the times on the clock, so the gain is told by CPU time as well: the CPU time of the
work under one worker, over the longest worker when its units are dealt to two as they come, times what the work costs
more under two.
"""

import argparse
import multiprocessing
import os
import resource
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from swimsim.validation.design import read_design, units
from swimsim.validation.gather import gather
from swimsim.validation.report import write_report
from swimsim.validation.runner import read_lines, run_design
from swimsim.validation.scorecard import scorecard
from swimsim.validation.work import do


def spent(design, processes: int) -> tuple[float, float]:
    """Time on the clock and CPU time of a run, workers included. [s]"""
    before = resource.getrusage(resource.RUSAGE_CHILDREN), time.process_time(), time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        run_design(design, Path(folder), processes=processes)
        for worker in multiprocessing.active_children():  # ended workers are counted once they are joined
            worker.join()
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    children = after.ru_utime + after.ru_stime - before[0].ru_utime - before[0].ru_stime
    return time.perf_counter() - before[2], children + time.process_time() - before[1]


def longest(times: list[float], workers: int) -> float:
    """CPU time of the busiest worker when each free one takes the next unit. [s]"""
    loads = [0.0] * workers
    for one in times:
        loads[loads.index(min(loads))] += one
    return max(loads)


def report_seconds(design) -> tuple[float, float]:
    """CPU times of scoring and of writing files and plots, for a run of this design. [s]"""
    with tempfile.TemporaryDirectory() as folder:
        records = run_design(design, Path(folder), processes=os.cpu_count())
        start = time.process_time()
        card = scorecard(gather(read_lines(records)))
        scored = time.process_time()
        write_report(card, Path(folder))
        return scored - start, time.process_time() - scored


def main() -> None:
    """Print CPU times of the units, of one and of two workers, and of the report."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--swimmers", type=int, default=8)
    design = read_design({"swimmers": parser.parse_args().swimmers, "runs_per_fault": 1, "seed": 20261})
    print(f"load of the machine at the start: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    next(iter(do(units(design)[0], design)))  # libraries loaded, tables read
    each = []
    for unit in sorted(units(design), key=lambda one: -len(one.cells)):  # as a run deals them
        start = time.process_time()
        count = len(list(do(unit, design)))
        each.append(time.process_time() - start)
        print(f"{unit.name}: {count} clips, {each[-1]:.1f} s of CPU")
    (clock_1, cpu_1), (clock_2, cpu_2) = spent(design, 1), spent(design, 2)
    print(
        f"one worker: {clock_1:.1f} s on the clock, {cpu_1:.1f} s of CPU; two: {clock_2:.1f} s, {cpu_2:.1f} s"
    )
    print(f"two against one on the clock: {clock_1 / clock_2:.2f}")
    by_cpu = sum(each) / longest(each, 2) * cpu_1 / cpu_2
    print(
        f"by CPU time: {sum(each) / longest(each, 2):.2f} by the dealing of units, {by_cpu:.2f} with start-up"
    )
    scoring, writing = report_seconds(design)
    print(f"scoring {scoring:.1f} s, files and plots {writing:.1f} s of CPU, in one process")


if __name__ == "__main__":
    main()
