"""Speed of the package, as ratios within one run: `python tests/benchmark.py [parts] [--runs N]`.

Parts: trace, solve, start, run, memory, measure, clip; all of them without a name (about ten minutes).
What is compared runs in turns, so that another load on the machine meets both; printed are medians, spread
and goals. Nothing here passes or fails by time, but kinematics must give equal positions to be compared.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from tolerances import BONE

ROOT = Path(__file__).resolve().parents[1]
FRAMES = 20_000
FEW = 500  # frames for the equality gate and for poses copied out one by one
SOLVER_PLACES = 30  # places of the arm clock in one step of a solver


def seconds(job: Callable[[], object], *, clock=time.perf_counter) -> float:
    """Time of one call: wall time, or with `time.process_time` that of all this process's threads. [s]"""
    start = clock()
    job()
    return clock() - start


def in_turns(jobs: dict[str, Callable[[], object]], runs: int, *, clock=time.perf_counter):
    """Times of every job by name, `runs` of each in an array, one after the other in turns. [s]"""
    taken = {name: [] for name in jobs}
    for _ in range(runs):
        for name, job in jobs.items():
            taken[name].append(seconds(job, clock=clock))
    return {name: np.array(values) for name, values in taken.items()}


def line(name: str, values: np.ndarray, *, goal: str = "-", form: str = ".2f") -> None:
    """Print median, spread and goal of one number."""
    low, middle, high = (format(v, form) for v in (np.min(values), np.median(values), np.max(values)))
    print(f"  {name:58s} {middle:>10s}   ({low} to {high}, {np.size(values)} runs)   goal {goal}")


def swimming():
    """A 400-m pace swimmer who breathes to both sides, and his solved motion."""
    from swimsim.motion.solve import solve
    from swimsim.stroke.presets import make_pattern
    from swimsim.swimmer.anthropometry import make_body

    body = make_body(1.83, sex="man")
    return solve(make_pattern("pace400_man", body, breathing=("left", 3)), body)


def trace(runs: int) -> None:
    """Whole stroke to 32 joints at random times, against other ways to the same positions.

    Ours: curves, roll, kick, head and both arms in closed form, then all positions. Theirs: positions from
    joint rotations known beforehand, 17 moving links; pinocchio frame by frame, its results not even read.
    """
    from whole_skeleton import Coordinates, Pinocchio, scipy_places

    motion = swimming()
    times = np.random.default_rng(7).uniform(0, 300, FRAMES)
    joints = motion.joints(times)
    known = Coordinates(joints)
    other = Pinocchio(known)
    worst = max(
        np.abs(scipy_places(known) - joints).max(),
        np.abs(other.places(other.rows[:FEW]) - joints[:FEW]).max(),
    )
    if not worst < BONE:
        raise SystemExit(f"trace: the kinematics differ by {worst:.1e} m, expected less than {BONE:g} m")
    taken = in_turns(
        {
            "ours": lambda: motion.joints(times),
            "bare": lambda: other.joints_only(other.rows),
            "frames": lambda: other.all_frames(other.rows),
            "read": lambda: other.places(other.rows[:FEW]),
            "scipy": lambda: scipy_places(known),
            "vectors": lambda: scipy_places(known, from_vectors=True),
            "copy": joints.copy,
        },
        runs,
    )
    print(f"trace: {FRAMES} frames x 32 joints at random times; equal to {worst:.0e} m")
    line("ours [thousand frames/s]", FRAMES / taken["ours"] / 1e3, form=".0f")
    line("ours / pinocchio bare call, 32 joints placed", taken["frames"] / taken["ours"], goal=">= 0.30")
    line("ours / pinocchio bare call, 17 links alone", taken["bare"] / taken["ours"])
    line("ours / pinocchio with positions read out", taken["read"] * FRAMES / FEW / taken["ours"])
    line("ours / scipy Rotation, from rotation vectors", taken["vectors"] / taken["ours"], goal=">= 10")
    line("ours / scipy Rotation, from ready quaternions", taken["scipy"] / taken["ours"], goal=">= 10")
    line("ours / plain copy of the output", taken["copy"] / taken["ours"], form=".3f")


def solve(runs: int) -> None:
    """What a solver step costs: one arm at a few places, against a sine of as many numbers."""
    motion = swimming()
    own = np.random.default_rng(7).uniform(0, 3, SOLVER_PLACES)
    arm, lines = motion.arms["left"], motion.frame.lines(own)

    def often(job):
        return lambda: [job() for _ in range(200)]

    taken = in_turns(
        {
            "arm": often(lambda: arm.points(own)),
            "points": often(lambda: arm.points_with(own, lines)),
            "lines": often(lambda: motion.frame.lines(own)),
            "sine": often(lambda: np.sin(own)),
            "whole": swimming,
        },
        runs,
    )
    print(f"solve: one arm at {SOLVER_PLACES} places, and a whole swimmer with three cycles")
    for name, says in (("arm", "trunk and arm"), ("lines", "trunk alone"), ("points", "arm alone")):
        line(f"{says} [us]", taken[name] / 200 * 1e6, form=".0f")
    line("trunk and arm / one numpy call (sine)", taken["arm"] / taken["sine"], form=".0f")
    line("body, pattern and both arms solved [s]", taken["whole"])


def program(*arguments: str) -> Callable[[], object]:
    """A job that runs this Python with the package on its path."""
    inherited = [p for p in (os.environ.get("PYTHONPATH"),) if p]
    env = {**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "tests"), *inherited])}
    return lambda: (
        subprocess.run(
            [sys.executable, *arguments], check=True, env=env, capture_output=True, text=True
        ).stdout
    )


def start(runs: int) -> None:
    """Start-up of the program and of the package, warm."""
    jobs = {
        "help": program("-m", "swimsim", "--help"),
        "import": program("-c", "import swimsim"),
        "api": program("-c", "import swimsim; swimsim.run"),
        "numpy": program("-c", "import numpy"),
        "python": program("-c", "pass"),
    }
    for job in jobs.values():
        job()
    taken = in_turns(jobs, max(runs, 3))
    print("start-up: new processes, warm")
    line("swimsim --help [s]", taken["help"], goal="<= 0.35", form=".3f")
    line("import swimsim [s]", taken["import"], goal="<= 0.15", form=".3f")
    line("import swimsim and its functions [s]", taken["api"], form=".3f")
    line("swimsim --help / import numpy", taken["help"] / taken["numpy"])
    line("import swimsim / import numpy", taken["import"] / taken["numpy"])
    line("import swimsim / python alone", taken["import"] / taken["python"])


def run(runs: int) -> None:
    """`swimsim run` with the built-in scenario, from nothing to the last file."""
    with tempfile.TemporaryDirectory() as name:
        taken = [
            seconds(program("-m", "swimsim", "run", "--out", f"{name}/{i}")) for i in range(min(runs, 3))
        ]
        files = [path for path in Path(name, "0").rglob("*") if path.is_file()]
    print("run: the built-in scenario, end to end")
    line(f"swimsim run, {len(files)} files [s]", np.array(taken), goal="<= 15", form=".1f")


PEAK = """
import sys
from drawn_swimmer import pair
from swimsim.view.clip import ClipOptions, write_clip
from swimsim.view.scene import Look
panels = pair(float(sys.argv[1]))
def kept(key):
    return int(next(l for l in open("/proc/self/status") if l.startswith(key)).split()[1]) / 1024
open("/proc/self/clear_refs", "w").write("5")  # forget the peak of making the traces
before = kept("VmRSS")
write_clip(sys.argv[2], panels, options=ClipOptions(look=Look(size=(640, 360)), fps=5, end_card=False))
print(before, kept("VmHWM"))
"""


def memory(runs: int) -> None:
    """Peak memory of the process that draws a clip of one and of ten minutes, 640 x 360 at 5 frames/s."""
    if not Path("/proc/self/status").exists():
        print("memory: needs /proc, left out")
        return
    found = {}
    with tempfile.TemporaryDirectory() as name:
        for minutes in (1, 10):
            job = program("-c", PEAK, str(60 * minutes), f"{name}/{minutes}.mp4")
            found[minutes] = [float(v) for v in job().split()]
    print("memory: peak of the drawing process; the traces themselves lie in memory before")
    for minutes, (before, peak) in found.items():
        line(f"{minutes} min: held before drawing, the traces [MB]", before, form=".0f")
        line(f"{minutes} min: peak while drawing [MB]", peak, form=".0f")
    growth = (found[10][1] - found[10][0]) / (found[1][1] - found[1][0])
    line("growth by drawing, 10 min / 1 min", growth, goal="about 1")


def measure(runs: int) -> None:
    """Blind reading of a trace of one minute at 100 frames/s: smoothing, events and all measures."""
    from swimsim.metrics import measure_trace

    made = swimming().trace(100.0, 60.0)
    count = len(made.time_s)
    jobs = {
        "auto": lambda: measure_trace(made),
        "fixed": lambda: measure_trace(made, cutoff_hz=6.0),
        "copy": made.joints_m.copy,
    }
    taken = in_turns(jobs, runs, clock=time.process_time)
    print(f"measure: {count} frames x 32 joints, every event and measure; seconds of one core")
    line("measure_trace, cut-off chosen [frames/s]", count / taken["auto"], goal=">= 20000", form=".0f")
    line("measure_trace, cut-off given [frames/s]", count / taken["fixed"], goal=">= 20000", form=".0f")
    line("measure_trace / plain copy of the trace", taken["copy"] / taken["auto"], form=".4f")


def clip(runs: int) -> None:
    """The fixed scene of `benchmark_clip.py`: naive drawing, encoding alone, GIF, edges."""
    import benchmark_clip

    print("clip: the fixed scene of benchmark_clip.py, 1280 x 720")
    for name, values in benchmark_clip.measure(runs).items():
        line(name, np.array(values), goal=benchmark_clip.GOALS.get(name, "-"))


PARTS = {
    "trace": trace,
    "solve": solve,
    "start": start,
    "run": run,
    "memory": memory,
    "measure": measure,
    "clip": clip,
}


@pytest.mark.benchmark
@pytest.mark.parametrize("part", PARTS)
def test_ratios_are_printed(part):
    """One run of each part; they are never pass or fail by time."""
    PARTS[part](1)


def main() -> None:
    """Read the command line, run the parts."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("parts", nargs="*", choices=[*PARTS, []], help="without any: all")
    parser.add_argument("--runs", type=int, default=5, help="of each thing compared (default 5)")
    asked = parser.parse_args()
    for part in asked.parts or PARTS:
        PARTS[part](asked.runs)


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    main()
