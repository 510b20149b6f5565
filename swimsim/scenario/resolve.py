"""From the keys of a scenario to body, pattern and fault settings, and every default filled in."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager

from ..faults.apply import apply_faults
from ..faults.catalogue import FaultSetting
from ..faults.linked import linked_settings
from ..ground.conventions import other_side
from ..ground.errors import InputError
from ..stroke.pattern import StrokePattern, check_pattern, set_targets
from ..stroke.presets import make_pattern, mirror, recovery_targets
from ..swimmer.anthropometry import Body, make_body
from . import models
from .cameras import check_views, views_of
from .picture import camera_of, figure_of, output_of
from .planar import check_planar
from .rates import tempo
from .targets import all_targets, to_si

LEAST_CYCLES = 6  # one cycle is not the swimmer
_NOT_RESOLVED = ("pace_s_per_100m", "stroke_count", "pool_length_m")  # rate and speed say the same


def resolve(scenario: models.Scenario) -> models.Scenario:
    """The same scenario with every default filled in and checked as a whole.

    Raises
    ------
    InputError
        Values that do not go together, one line each.
    """
    with said_of(scenario):
        scenario = with_linked(scenario)
        check_views(scenario)
        check_planar(scenario)
        body = body_of(scenario)
        pattern = clean_pattern(scenario, body)
        with_faults(scenario, pattern, body)
    stroke = {
        "preset": preset_of(scenario),
        "stroke_rate_per_min": round(pattern.stroke_rate_hz * 60, 6),
        "speed_m_s": round(pattern.speed_m_s, 6),
        **dict.fromkeys(_NOT_RESOLVED),
    }
    side, every = breathing_of(scenario.breathing)
    full = scenario.model_copy(
        update={
            "swimmer": scenario.swimmer.model_copy(update={"mass_kg": round(body.mass_kg, 2)}),
            "stroke": scenario.stroke.model_copy(update=stroke),
            "breathing": scenario.breathing.model_copy(update={"side": side, "every": every}),
            "kick": scenario.kick.model_copy(update={"beats": pattern.kick_beats}),
            "camera": [camera_of(camera) for camera in scenario.camera],
            "figure": figure_of(scenario, body),
            "output": output_of(
                scenario.output, views=views_of(scenario), seconds=_seconds(scenario, pattern)
            ),
        }
    )
    full._source = scenario._source
    return full


@contextmanager
def said_of(scenario: models.Scenario) -> Iterator[None]:
    """Put the name of the scenario before every line of an InputError raised inside."""
    try:
        yield
    except InputError as error:
        lines = str(error).split("\n")
        raise type(error)("\n".join(f"{scenario._source}: {line}" for line in lines)) from None


def body_of(scenario: models.Scenario) -> Body:
    """The swimmer's body."""
    who = scenario.swimmer
    return make_body(who.stature_m, mass_kg=who.mass_kg, sex=who.sex, body_table=who.body_table)


def preset_of(scenario: models.Scenario) -> str:
    """The preset of the file, else 400-m pace of the swimmer's sex."""
    return scenario.stroke.preset or f"pace400_{scenario.swimmer.sex}"


def clean_pattern(scenario: models.Scenario, body: Body) -> StrokePattern:
    """The swimmer's own stroke without the faults; `left_handed` mirrors the preset, not the sides named."""
    given = scenario.stroke.model_dump(exclude_none=True)
    side, every = breathing_of(scenario.breathing)
    left_handed = scenario.swimmer.left_handed
    if left_handed and side != "none":
        side = other_side(side)
    keys = {"body": body, "breathing": (side, every), "kick_beats": scenario.kick.beats}
    pattern = make_pattern(preset_of(scenario), pace=_pace(scenario, body, given), **keys)
    if left_handed:
        pattern = mirror(pattern)
    pattern = set_targets(pattern, recovery_targets(scenario.stroke.recovery, body))
    pattern = set_targets(pattern, to_si({key: given[key] for key in all_targets() if key in given}))
    check_pattern(pattern)
    return pattern


def _pace(scenario: models.Scenario, body: Body, given: dict) -> tuple[float | None, float | None]:
    known = tempo(given)
    if known.length_m is not None and known.speed_m_s is None:
        speed = make_pattern(preset_of(scenario), body).speed_m_s
        return speed / known.length_m, speed
    return known.rate_hz, known.speed_m_s


def breathing_of(breathing: models.Breathing) -> tuple[str, int]:
    """Side and number of strokes; a side alone means every two strokes, a number alone the left."""
    side, every = breathing.side, breathing.every
    if side is None:
        side = "left" if every else "none"
    if every is None:
        every = 0 if side == "none" else 2
    return side, every


def fault_settings(scenario: models.Scenario) -> tuple[FaultSetting, ...]:
    """The faults of a scenario as the catalogue takes them."""
    return tuple(FaultSetting(**fault.model_dump()) for fault in scenario.fault)


def with_linked(scenario: models.Scenario) -> models.Scenario:
    """The same scenario with the faults of every linked set written out, before its other faults."""
    if not scenario.linked:
        return scenario
    settings = [
        setting
        for one in scenario.linked
        for setting in linked_settings(one.set, severity=one.severity, word=one.word, side=one.side)
    ]
    written = [
        models.Fault(fault=s.fault, severity=s.severity, side=s.side, strokes=s.strokes) for s in settings
    ]
    full = scenario.model_copy(update={"fault": [*written, *scenario.fault], "linked": []})
    full._source = scenario._source
    return full


def with_faults(scenario: models.Scenario, clean: StrokePattern, body: Body) -> StrokePattern:
    """The stroke with every fault of the scenario set."""
    return apply_faults(
        clean,
        fault_settings(scenario),
        half_width_m=body.shoulder_width_m / 2,
        side_effects=scenario.stroke.side_effects,
    )


def cycles_of(scenario: models.Scenario, pattern: StrokePattern) -> int:
    """Cycles of a trace: at least six, at least the clip, and whole breathing periods."""
    seconds = scenario.output.seconds or 0.0
    least = max(LEAST_CYCLES, math.ceil(seconds * pattern.stroke_rate_hz - 1e-9))
    return math.ceil(least / pattern.period_cycles) * pattern.period_cycles


def _seconds(scenario: models.Scenario, pattern: StrokePattern) -> float:
    """Length of the clip: as asked for, else whole breathing periods of at least two cycles."""
    if scenario.output.seconds is not None:
        return scenario.output.seconds
    period = pattern.period_cycles
    return round(math.ceil(2 / period) * period / pattern.stroke_rate_hz, 6)
