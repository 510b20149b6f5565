"""What-if: one thing changed about the swimmer of a scenario, and what it is worth at the same effort."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from ..ground.errors import InputError
from ..motion.solve import solve
from ..swimmer.anthropometry import Body
from ..water.coefficients import drawn_coefficients
from ..water.cost import DRAWS, Interval
from ..water.surge import Stroke
from ..water.what_if import worth
from . import models
from .in_water import stroke_in_water
from .resolve import body_of, clean_pattern, fault_settings, said_of, with_faults

RATE_STEP = 0.05  # share by which the stroke rate is tried faster and slower
TALLER_M, LIGHTER_KG = 0.03, 2.0
BEATS = (0, 2, 4, 6)


@dataclass(frozen=True)
class Gain:
    """What one change is worth.

    Parameters
    ----------
    change : str
        In words.
    fault : str or None
        The fault that was put right, if that is the change.
    saved : Interval
        Seconds per 100 m at the same mechanical power, positive for a gain; empty where `reason` says why. [s]
    reason, note : str or None
        Why there is no number; what it leaves out.
    """

    change: str
    fault: str | None
    saved: Interval
    reason: str | None = None
    note: str | None = None


def changes(scenario: models.Scenario) -> Iterator[tuple[str, str | None, models.Scenario]]:
    """Every change that is tried: name, the fault that is put right, the changed scenario."""
    for i, fault in enumerate(scenario.fault):
        rest = [*scenario.fault[:i], *scenario.fault[i + 1 :]]
        yield f"without {named(fault)}", fault.fault, scenario.model_copy(update={"fault": rest})
    stroke, kick, who = scenario.stroke, scenario.kick, scenario.swimmer
    for sign, word in ((1, "faster"), (-1, "slower")):
        rate = stroke.stroke_rate_per_min * (1 + sign * RATE_STEP)
        name = f"strokes {100 * RATE_STEP:g} % {word}, each as much {'shorter' if sign > 0 else 'longer'}"
        yield name, None, _with(scenario, "stroke", stroke_rate_per_min=rate)
    for beats in BEATS:
        if beats != kick.beats:
            yield f"kick of {beats} beats", None, _with(scenario, "kick", beats=beats)
    yield (
        f"{100 * TALLER_M:g} cm taller",
        None,
        _with(scenario, "swimmer", stature_m=who.stature_m + TALLER_M),
    )
    yield f"{LIGHTER_KG:g} kg lighter", None, _with(scenario, "swimmer", mass_kg=who.mass_kg - LIGHTER_KG)


def named(fault: models.Fault) -> str:
    """A fault by name, with its side where it has one alone."""
    return fault.fault if fault.side in (None, "both") else f"{fault.fault} ({fault.side})"


def _with(scenario: models.Scenario, table: str, **change) -> models.Scenario:
    return scenario.model_copy(update={table: getattr(scenario, table).model_copy(update=change)})


def what_if(
    scenario: models.Scenario,
    *,
    draws: int = DRAWS,
    progress: Callable[[str, int, int], None] = lambda text, done, total: None,
) -> list[Gain]:
    """What each change is worth to the swimmer of a scenario with all its faults, best first.

    Parameters
    ----------
    scenario : Scenario
        Resolved, from `read_scenario`; its seed draws the uncertain numbers.
    draws : int
        2 or more.

    Raises
    ------
    InputError
        The planar swimmer, fewer than two draws, a stroke that this body cannot swim.
    """
    drawn = drawn_coefficients(draws, seed=scenario.seed)
    with said_of(scenario):
        if scenario.dimensions != 3:
            raise InputError("dimensions: expected 3 for a price, got 2: the planar swimmer has no hands")
        now = swum(scenario)
    tried, gains = list(changes(scenario)), []
    for done, (name, fault, changed) in enumerate(tried):
        progress(f"trying: {name}", done, len(tried))
        try:
            saved, reason, note = worth(now, swum(changed), drawn=drawn)
        except InputError as error:
            saved, reason, note = Interval(None, None, None), str(error).split("\n")[0], None
        gains.append(Gain(name, fault, saved, reason, note))
    return sorted(gains, key=lambda gain: -float("inf") if gain.saved.median is None else gain.saved.median)[
        ::-1
    ]


def swum(scenario: models.Scenario) -> Stroke:
    """The swimmer of a scenario with all its faults, prepared for the water."""
    body: Body = body_of(scenario)
    pattern = clean_pattern(scenario, body)
    if fault_settings(scenario):
        pattern = with_faults(scenario, pattern, body)
    return stroke_in_water(solve(pattern, body))
