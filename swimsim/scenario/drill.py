"""Play a drill for the body of a scenario, and write its trace with the numbers it was made from."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..ground.atomic import whole_file
from ..ground.conventions import CAUTION_LINE, MODEL_LINE
from ..ground.errors import InputError
from ..ground.files import write_csv, write_npz
from ..ground.measure_files import write_json
from ..ground.records import Trace
from ..motion.drill_motion import DrillMotion, drill_motion
from ..stroke.drill import DrillPattern, drill_named
from ..swimmer.anthropometry import Body
from . import leaves, models
from .resolve import body_of, said_of

FORMAT, VERSION = "swimsim.drill", 1
LEAST_PERIODS, LEAST_S = 4, 16.0  # of a trace: a clip shows some at full speed, then slowly, then again


@dataclass(frozen=True)
class Drilled:
    """One swimmer who has done a drill: the drill, its motion and its trace."""

    scenario: models.Scenario
    drill: DrillPattern
    body: Body
    motion: DrillMotion
    trace: Trace


def play_drill(
    name: str, scenario: models.Scenario, *, progress: Callable[[str], None] = lambda text: None
) -> Drilled:
    """A drill as the body of the scenario does it; stroke and faults of the scenario are left aside.

    Raises
    ------
    InputError
        No such drill (the nearest is given), a planar scenario, or a body that cannot do it.
    """
    drill = drill_named(name)
    with said_of(scenario):
        if scenario.dimensions != 3:
            raise InputError(f"dimensions: expected 3 for a drill, got {scenario.dimensions}")
        body = body_of(scenario)
        progress(f"swimming the drill {name}")
        motion = drill_motion(drill, body)
    periods = max(LEAST_PERIODS, math.ceil(LEAST_S / drill.period_s))
    fps = float(scenario.output.fps)
    meta = {
        "title": f"drill: {drill.title}", "source": "swimsim", "note": MODEL_LINE, "drill": name,
        "stature_m": body.stature_m, "dimensions": 3,
    }  # fmt: skip
    return Drilled(
        scenario, drill, body, motion, motion.trace(fps, periods * drill.period_s + 1 / fps, meta=meta)
    )


def drill_record(drilled: Drilled, *, version: str) -> dict[str, Any]:
    """The content of `drill.json`: what the drill was made from, SI units; no number to hold a stroke against."""
    drill, body = drilled.drill, drilled.body
    return {
        "format": FORMAT,
        "version": VERSION,
        "swimsim": version,
        "drill": drill.name,
        "says": drill.says,
        "note": "A drill is an exercise: none of its numbers is a reference for the stroke.",
        "trace": "drill.npz",
        "rate_hz": drilled.trace.rate_hz,
        "duration_s": float(drilled.trace.time_s[-1]),
        "period_s": drill.period_s,
        "speed_m_s": drilled.motion.speed_m_s,
        "kicks_per_leg": drill.kicks,
        "equipment": list(drill.equipment),
        "steps": [{"step": label, "time_s": round(share * drill.period_s, 9)} for label, share in drill.steps],
        "body": {
            "stature_m": body.stature_m, "mass_kg": body.mass_kg, "sex": body.sex, "table": body.table,
        },
    }  # fmt: skip


def write_drill(drilled: Drilled, folder: Path, *, version: str) -> None:
    """Write the trace as NPZ and CSV, `drill.json` and a README into a folder."""
    write_npz(drilled.trace, folder / leaves.DRILL_TRACES[0])
    write_csv(drilled.trace, folder / leaves.DRILL_TRACES[1])
    write_json(drill_record(drilled, version=version), folder / leaves.DRILL)
    with whole_file(folder / leaves.README) as part:
        part.write_text(_readme(drilled), encoding="utf-8", newline="\n")


def _readme(drilled: Drilled) -> str:
    files = {
        leaves.DRILL_TRACES[0]: "joints: time_s (n,), joints_m (n, j, 3), joint_names, rate_hz, meta",
        leaves.DRILL_TRACES[1]: "the same numbers as text: time_s, then x, y and z of every joint in metres",
        leaves.DRILL: "period, speed, steps and body of the drill",
    }
    return "\n".join(
        [
            f"DRILL: {drilled.drill.title}",
            MODEL_LINE,
            "",
            *(f"{name:<10}  {says}" for name, says in files.items()),
            "",
            "x points forward, y to the swimmer's left, z up; still water is z = 0. Metres, seconds.",
            "Time 0 is where the drill's period begins. Left and right are the swimmer's.",
            "A drill is an exercise: none of its numbers is a reference for the stroke.",
            "",
            CAUTION_LINE,
            "",
        ]
    )
