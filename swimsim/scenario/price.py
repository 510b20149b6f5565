"""Faults of a scenario as the water prices them: each fault alone on the scenario's own swimmer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ..faults.apply import apply_faults, set_fault
from ..faults.catalogue import FaultSetting, faults
from ..ground.errors import InputError
from ..motion.solve import solve
from ..stroke.pattern import StrokePattern
from ..swimmer.anthropometry import Body
from ..water.coefficients import coefficients, drawn_coefficients
from ..water.cost import DRAWS, Cost, cost
from ..water.effort import implied_thrust
from ..water.surge import Stroke, settle
from .in_water import BREATH, breathing_for, stroke_in_water
from .models import Breathing, Scenario
from .resolve import body_of, clean_pattern, fault_settings, said_of

SEVERITY = 0.7  # of every fault, where a scenario names none


@dataclass(frozen=True)
class Priced:
    """One fault with its size and all its quantities; `refused` says why this swimmer cannot show it."""

    fault: str
    severity: float | None
    costs: tuple[Cost, ...]
    refused: str | None = None


def every_fault(severity: float = SEVERITY) -> tuple[FaultSetting, ...]:
    """All faults of the catalogue at one severity.

    Raises
    ------
    InputError
        A severity that is none.
    """
    if not 0 <= severity <= 1:
        raise InputError(f"severity: expected 0 to 1, got {severity:g}")
    return tuple(FaultSetting(slug, severity=severity) for slug in faults())


class Swimmers:
    """The clean swimmer of a scenario, prepared for the water once for every way of breathing."""

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.body: Body = body_of(scenario)
        self._known: dict[tuple[str, int], tuple[StrokePattern, Stroke]] = {}

    def clean(self, setting: FaultSetting) -> tuple[StrokePattern, Stroke]:
        """Pattern and stroke; a fault of the breath asks a swimmer who never breathes to breathe every cycle."""
        scenario = self.scenario
        breathes = scenario.breathing.side not in (None, "none") or bool(scenario.breathing.every)
        key = BREATH if breathing_for(setting) == BREATH and not breathes else ("", 0)
        if key not in self._known:
            if key == BREATH:
                taken = Breathing(side=BREATH[0], every=BREATH[1])
                scenario = scenario.model_copy(update={"breathing": taken})
            pattern = clean_pattern(scenario, self.body)
            self._known[key] = pattern, stroke_in_water(solve(pattern, self.body))
        return self._known[key]


def price(
    scenario: Scenario,
    *,
    settings: Sequence[FaultSetting] | None = None,
    draws: int = DRAWS,
    progress: Callable[[str, int, int], None] = lambda text, done, total: None,
) -> list[Priced]:
    """Price of every fault, each alone.

    Parameters
    ----------
    scenario : Scenario
        Its seed draws the uncertain numbers; a scatter from stroke to stroke is left out.
    settings : sequence of FaultSetting, optional
        Default the faults of the scenario; every fault of the catalogue where it has none.
    draws : int
        2 or more.

    Raises
    ------
    InputError
        The planar swimmer; fewer than two draws; a fault of the scenario that this swimmer cannot show.
    """
    own = settings is None and bool(fault_settings(scenario))
    settings = settings or fault_settings(scenario) or every_fault()
    drawn = drawn_coefficients(draws, seed=scenario.seed)
    out = []
    with said_of(scenario):
        _check_dimensions(scenario)
        swimmers = Swimmers(scenario)
        for done, setting in enumerate(settings):
            progress(f"pricing {setting.fault}", done, len(settings))
            try:
                out.append(_priced(swimmers, setting, drawn))
            except InputError as error:
                if own:
                    raise
                out.append(Priced(setting.fault, setting.severity, (), str(error).split("\n")[0]))
    return out


@dataclass(frozen=True)
class SetSpeed:
    """What the set speed of a clean swimmer asks for, and what the stroke gives.

    Parameters
    ----------
    set_m_s, own_m_s : float
        As the scenario has it; as the stroke swims at its rate when left to the water. [m/s]
    needed_n, given_n : float
        Mean drag of the body, and mean push of the limbs, both at the set speed. [N]
    """

    set_m_s: float
    own_m_s: float
    needed_n: float
    given_n: float


def set_speed(scenario: Scenario) -> SetSpeed:
    """The thrust that a scenario's speed implies, and the speed that its stroke would have."""
    pattern = clean_pattern(scenario, body_of(scenario))
    stroke = stroke_in_water(solve(pattern, body_of(scenario)))
    needed, given = implied_thrust(stroke, coefficients())
    own = settle(stroke, coefficients(), pattern.stroke_rate_hz).mean_speed_m_s
    return SetSpeed(pattern.speed_m_s, float(own[0]), float(needed[0]), float(given[0]))


def _check_dimensions(scenario: Scenario) -> None:
    if scenario.dimensions != 3:
        raise InputError("dimensions: expected 3 for a price, got 2: the planar swimmer has no hands")


def _priced(swimmers: Swimmers, setting: FaultSetting, drawn) -> Priced:
    pattern, clean = swimmers.clean(setting)
    half = swimmers.body.shoulder_width_m / 2
    _, severity = set_fault(pattern, setting, half_width_m=half)
    effects = swimmers.scenario.stroke.side_effects
    faulty = apply_faults(pattern, [setting], half_width_m=half, side_effects=effects)
    fault = stroke_in_water(solve(faulty, swimmers.body))
    return Priced(setting.fault, float(severity), tuple(cost(clean, fault, draws=drawn)))
