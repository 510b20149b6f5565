"""How fast a clip is seen, measured and judged on one core, in frames a second; prints, never passes or fails.

Run: `python tests/benchmark_seen.py` (`--cycles 40` for a clip of a minute). Times are CPU times of this process, the
least of several runs; half of the time for a clip of ten seconds does not hang on its frames. Other work on the machine
slows CPU time too, by up to a half, so the load is printed.
"""

import argparse
import os
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
sys.path.insert(0, str(Path(__file__).resolve().parent))

from made_swimmers import made

from swimsim.detectors import detect
from swimsim.metrics import measure_seen, measure_trace
from swimsim.view.cameras import named_camera
from swimsim.view.conditions import condition_named
from swimsim.view.seeing import see

RUNS = 12
CYCLES = 7


def least(work) -> float:
    """Least CPU time of several runs. [s]"""
    work()
    times = []
    for _ in range(RUNS):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def main() -> None:
    """Print a table: condition, frames, milliseconds of each step, frames a second of all steps."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cycles", type=int, default=CYCLES)
    cycles = parser.parse_args().cycles
    print(f"load of the machine: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    one = made("pace400_man", breathing=("left", 2))
    trace = one.motion.trace(60.0, cycles * one.motion.cycle_s, meta={"stature_m": one.body.stature_m})
    camera = named_camera("side_left", one.body.stature_m, size_px=(1920, 1080))
    print("condition            frames  see  measure  detect [ms]   frames/s")
    for name in ("square", "pool deck", "good action camera"):
        condition = condition_named(name)
        seen = see(trace, camera, condition, seed=1)
        reading = measure_seen(seen)
        steps = [
            least(lambda condition=condition: see(trace, camera, condition, seed=1)),
            least(lambda seen=seen: measure_seen(seen)),
            least(lambda reading=reading: detect(reading)),
        ]
        milliseconds = "  ".join(f"{1000 * step:6.1f}" for step in steps)
        print(f"{name:20s} {len(seen.time_s):6d}  {milliseconds}   {len(seen.time_s) / sum(steps):10.0f}")
    step = least(lambda: measure_trace(trace))
    print(
        f"{'exact points, 3-D':20s} {len(trace.time_s):6d}  measure {1000 * step:.1f}   {len(trace.time_s) / step:.0f}"
    )


if __name__ == "__main__":
    main()
