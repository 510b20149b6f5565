"""Play a scenario: the same swimmer, body, tempo and seed twice, once with the faults and once without."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ..faults.catalogue import FaultSetting
from ..ground.conventions import MODEL_LINE
from ..ground.records import Trace
from ..motion.kinematics import Motion
from ..motion.solve import solve
from ..motion.truth import Truth, take_truth
from ..stroke.pattern import StrokePattern
from ..swimmer.anthropometry import Body
from .models import Scenario
from .resolve import body_of, clean_pattern, cycles_of, fault_settings, said_of, with_faults


@dataclass(frozen=True)
class Swum:
    """One swimmer who has swum: what was set, the motion, its exact truth and its trace."""

    body: Body
    pattern: StrokePattern
    motion: Motion
    truth: Truth
    trace: Trace
    faults: tuple[FaultSetting, ...]
    speed_from: str = "set"


@dataclass(frozen=True)
class Played:
    """The swimmer with the faults, and the same swimmer without them."""

    scenario: Scenario
    fault: Swum
    correct: Swum


def play(scenario: Scenario, *, progress: Callable[[str], None] = lambda text: None) -> Played:
    """Play a resolved scenario.

    Parameters
    ----------
    scenario : Scenario
        From `read_scenario`.
    progress : callable
        Told in plain words what comes next.

    Raises
    ------
    InputError
        A stroke that this body cannot swim; the text names the scenario and the reachable range.
    """
    with said_of(scenario):
        body = body_of(scenario)
        clean = clean_pattern(scenario, body)
        progress("swimming with the fault")
        faulty = with_faults(scenario, clean, body)
        fault = _swim(scenario, body, faulty, settings=fault_settings(scenario), clean=clean)
        if not scenario.fault:
            return Played(scenario, fault, fault)
        progress("swimming without it")
        correct = _swim(scenario, body, clean, settings=(), clean=clean)
    return Played(scenario, fault, correct)


def swim_clean(scenario: Scenario) -> Swum:
    """The swimmer of a resolved scenario without its faults.

    Raises
    ------
    InputError
        A stroke that this body cannot swim.
    """
    with said_of(scenario):
        body = body_of(scenario)
        clean = clean_pattern(scenario, body)
        return _swim(scenario, body, clean, settings=(), clean=clean)


def swim_faulty(scenario: Scenario) -> Swum:
    """The swimmer of a resolved scenario with its faults, alone.

    Raises
    ------
    InputError
        A stroke that this body cannot swim.
    """
    with said_of(scenario):
        body = body_of(scenario)
        clean = clean_pattern(scenario, body)
        faulty = with_faults(scenario, clean, body)
        return _swim(scenario, body, faulty, settings=fault_settings(scenario), clean=clean)


def _swim(
    scenario: Scenario,
    body: Body,
    pattern: StrokePattern,
    *,
    settings: tuple[FaultSetting, ...],
    clean: StrokePattern,
) -> Swum:
    cycles, motion = cycles_of(scenario, pattern), None
    if scenario.stroke.speed_from == "water":
        from .water_speed import swim_by_water

        motion = swim_by_water(pattern, body, clean=clean)
        pattern = motion.pattern
    if scenario.stroke.variability:
        from ..stroke.variability import scatter

        pattern, motion = scatter(pattern, seed=scenario.seed, cycles=cycles), None
    motion = motion or solve(pattern, body, dimensions=scenario.dimensions)
    duration = (cycles + 1) * motion.cycle_s  # one cycle more: a reader sees whole cycles of both arms
    meta = {
        "title": scenario.title,
        "source": "swimsim",
        "note": MODEL_LINE,
        "stature_m": body.stature_m,
        "dimensions": scenario.dimensions,
    }
    trace = motion.trace(float(scenario.output.fps), duration, meta=meta)
    truth = take_truth(motion, duration)
    return Swum(body, pattern, motion, truth, trace, settings, scenario.stroke.speed_from)
