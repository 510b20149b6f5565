"""Speed of the floating swimmer, as a ratio to real time: `python tests/benchmark_float.py [--runs N]`.

Printed are median, spread and goal: simulated seconds per second of one processor, for the whole job (parts, loads of
the arms, rounds until it settles) and for the steps of the engine alone; then the same steps with one Python call per
rod and force, which is what the batch calls save. Times are those of the processor, with the load of the machine
beside them. Nothing here passes or fails by time; that both ways move the swimmer alike is checked before they are
compared.
"""

from __future__ import annotations

import argparse
import os
import time

import numpy as np
import pytest

PRESETS = {"pace400_man": (1.80, "man"), "sprint_woman": (1.68, "woman"), "masters_man": (1.80, "man")}
GOAL = 40.0


def swimmer(preset: str):
    """Joints of one period, the body, period [s] and speed [m/s] of a preset."""
    from swimsim.motion.solve import solve
    from swimsim.stroke.presets import make_pattern
    from swimsim.swimmer.anthropometry import make_body

    stature, sex = PRESETS[preset]
    body = make_body(stature, sex=sex)
    motion = solve(make_pattern(preset, body), body)
    period = motion.cycle_s * motion.period_cycles
    return motion.joints(np.arange(400) / 400 * period), body, period, motion.pattern.speed_m_s


def whole_job(preset: str) -> float:
    """Simulated seconds per second of `float_cycle`."""
    from swimsim.water.floating_cycle import float_cycle

    joints, body, period, speed = swimmer(preset)
    start = time.process_time()
    made = float_cycle(joints, body, period_s=period, speed_m_s=speed)
    return made.periods * period / (time.process_time() - start)


def engine(preset: str, *, one_by_one: bool) -> tuple[float, np.ndarray]:
    """Simulated seconds per second of six periods in the pond, and the trunk's last states."""
    from swimsim.water.floating_cycle import FloatSettings, _checked, _Swim

    joints, body, period, speed = swimmer(preset)
    swim = _Swim(_checked(joints, period, speed), body, period, speed, FloatSettings())
    pond = swim.pond
    if one_by_one:
        pond._get, pond._set = plain_get(pond), plain_set(pond)
    pond.place(*swim._start())
    load = swim.loads.at(swim.states)
    drive = swim._drive(swim.states, load, swim.loads.slope(swim.states, load), 0.0)
    start = time.process_time()
    out = pond.run(6 * swim.count, drive=drive)
    return 6 * period / (time.process_time() - start), out[-swim.count :]


def plain_get(pond):
    """Read the bodies one by one into the same buffer."""

    def get(space, fields, buffer):
        rows = [[*b.position, b.angle, *b.velocity, b.angular_velocity] for b in pond.bodies]
        buffer.set_float_buf(np.array(rows).reshape(-1))

    return get


def plain_set(pond):
    """Hand forces to the bodies one by one."""

    def put(space, fields, buffer):
        for body, (x, z, torque) in zip(pond.bodies, pond.force.tolist(), strict=True):
            body.force, body.torque = (x, z), torque

    return put


def line(name: str, values, goal: str = "-") -> None:
    """Print median, spread and goal of one number."""
    print(f"  {name:50s} {np.median(values):8.1f}   ({min(values):.1f} to {max(values):.1f})   goal {goal}")


def report(runs: int) -> None:
    """Print all ratios; what is compared runs in turns."""
    print(f"simulated seconds per second; load {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")
    for preset in PRESETS:
        line(f"{preset}: whole job", [whole_job(preset) for _ in range(runs)], f">= {GOAL:g}")
    batch, plain = [], []
    for _ in range(runs):
        (fast, one), (slow, two) = (engine("pace400_man", one_by_one=way) for way in (False, True))
        np.testing.assert_allclose(one, two, atol=1e-9)
        batch.append(fast)
        plain.append(slow)
    line("pace400_man: steps alone, batch calls", batch, f">= {GOAL:g}")
    line("pace400_man: steps alone, one call per rod", plain)
    line("batch over one call per rod", np.array(batch) / plain)


@pytest.mark.benchmark
def test_ratios_are_printed(capsys):
    with capsys.disabled():
        report(1)


if __name__ == "__main__":
    arguments = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    arguments.add_argument("--runs", type=int, default=5)
    report(arguments.parse_args().runs)
