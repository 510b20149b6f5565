"""Played scenarios for the tests of marks, overlay and review: each fault at a severity, played once."""

from __future__ import annotations

import functools

import numpy as np

import swimsim
from swimsim.faults.catalogue import faults
from swimsim.scenario.play import Played

FAULTS = tuple(faults())
SEVERITIES = (0.35, 0.7)
ALL = [(fault, severity) for fault in FAULTS for severity in SEVERITIES]


@functools.cache
def played(name: str, severity: float | None = None) -> Played:
    """A shipped scenario; with a severity, its first fault as large as that."""
    scenario = swimsim.read_scenario(name)
    if severity is not None:
        first = scenario.fault[0].model_copy(update={"severity": severity, "word": None, "amount": None})
        scenario = scenario.model_copy(update={"fault": [first]})
    return swimsim.play(scenario)


def joints_at(swum, times_s: np.ndarray) -> dict[str, np.ndarray]:
    """Joints (n, 3) by name straight from the motion, at any times."""
    points = swum.motion.joints(np.asarray(times_s, float))
    return {name: points[:, i] for i, name in enumerate(swum.trace.joint_names)}
