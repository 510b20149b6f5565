"""Speed of the surge and of the cost table: `python tests/benchmark_water.py [--runs N]`.

Printed are median, spread and goal: simulated swimmer-seconds per second for the surge of a thousand swimmers, as a
ratio to a plain loop over swimmers and strips, the error against a step ten times finer, and the time of one fault's
price. Times are those of one processor, so that what others do on the machine hardly counts, with the time on the clock
and the load of the machine beside them. Nothing here passes or fails by time; the error and that both ways swim alike
are checked.
"""

from __future__ import annotations

import argparse
import os
import time

import numpy as np
import pytest

SWIMMERS = 1000
DRAWS = 500
ERROR = 1e-4  # [m/s]


class Spent:
    """Seconds of the processor and on the clock since it was made."""

    def __init__(self) -> None:
        self.began = time.process_time(), time.perf_counter()

    def __call__(self) -> np.ndarray:
        return np.array([time.process_time(), time.perf_counter()]) - self.began


def strokes():
    """The sprint man's path with the usual step and with one ten times finer."""
    from swimsim.motion.solve import solve
    from swimsim.scenario.in_water import motion_path, swimmer
    from swimsim.water.path import STEPS_PER_CYCLE
    from swimsim.water.surge import prepare

    motion = solve(*swimmer("sprint_man"))
    return [prepare(motion_path(motion, steps_per_cycle=n * STEPS_PER_CYCLE)) for n in (1, 10)]


def surge_rate(stroke) -> np.ndarray:
    """Swimmer-seconds per second, processor and clock: every period that is integrated counts."""
    from swimsim.water.coefficients import drawn_coefficients
    from swimsim.water.surge import Equation

    equation = Equation(stroke, drawn_coefficients(SWIMMERS), stroke.path.rate_hz)
    start = np.full(SWIMMERS, stroke.path.advance_m)
    spent = Spent()
    for _ in range(3):
        start = equation.period(start)
    return 3 * SWIMMERS / stroke.path.rate_hz / spent()


def plain_rate(stroke) -> np.ndarray:
    """The same for one swimmer in a plain loop, forces strip by strip."""
    from test_water_surge import strip_by_strip

    spent = Spent()
    speed = strip_by_strip(stroke, stroke.path.steps, periods=2)
    rate = 2 / stroke.path.rate_hz / spent()
    from swimsim.water.coefficients import coefficients
    from swimsim.water.surge import settle

    same = float(settle(stroke, coefficients(), stroke.path.rate_hz).mean_speed_m_s[0])
    np.testing.assert_allclose(speed, same, atol=5e-3)  # two periods have not quite settled
    return rate


def worst_error(usual, fine) -> float:
    """Greatest difference of the mean speed over many draws. [m/s]"""
    from swimsim.water.coefficients import drawn_coefficients
    from swimsim.water.surge import settle

    draws = drawn_coefficients(200, seed=1)
    one, other = (settle(s, draws, s.path.rate_hz).mean_speed_m_s for s in (usual, fine))
    return float(np.nanmax(np.abs(one - other)))


def price_time() -> np.ndarray:
    """One fault's price from the pattern to the table, processor and clock. [s]"""
    from swimsim.faults.catalogue import FaultSetting
    from swimsim.scenario.in_water import fault_cost

    spent = Spent()
    fault_cost(FaultSetting("dropped_elbow", severity=0.7), draws=DRAWS)
    return spent()


def line(name: str, values, goal: str = "-") -> None:
    """Print median, spread and goal of one number; of pairs, those of the processor, then the median on the clock."""
    values = np.atleast_2d(np.asarray(values, float).T)
    one = values[0]
    clock = f"   on the clock {np.median(values[1]):.3g}" if len(values) > 1 else ""
    print(f"  {name:58s} {np.median(one):10.3g}   ({one.min():.3g} to {one.max():.3g})   goal {goal}{clock}")


def report(runs: int) -> None:
    """Print everything; what is compared runs in turns."""
    print(f"load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")
    usual, fine = strokes()
    fast, plain = [], []
    for _ in range(runs):
        fast.append(surge_rate(usual))
        plain.append(plain_rate(usual))
    line(f"surge, {SWIMMERS} swimmers: swimmer-seconds per second", fast, ">= 5000")
    line("surge over the plain loop over swimmers and strips", np.array(fast)[:, 0] / np.array(plain)[:, 0])
    error = worst_error(usual, fine)
    line("error of the mean speed against a step ten times finer, m/s", [error], f"<= {ERROR:g}")
    assert error <= ERROR
    line(
        f"price of one fault, {DRAWS} paired draws, s",
        [price_time() for _ in range(runs)],
        "<= 10 (18 in 3 min on one, 20 on two)",
    )


@pytest.mark.benchmark
def test_ratios_are_printed(capsys):
    with capsys.disabled():
        report(1)


if __name__ == "__main__":
    arguments = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    arguments.add_argument("--runs", type=int, default=3)
    report(arguments.parse_args().runs)
