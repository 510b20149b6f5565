"""Clean swimmers: a wide family without a fault, which a detector must leave alone.

Each is drawn from `shared/clean_swimmers.toml`, swum, and held against every fault of the catalogue. A draw that its
body cannot swim, or whose truth lies a quarter of the way or more from normal to gross in any fault, is drawn anew.
"""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ..faults.catalogue import FaultSetting, aliases, faults
from ..ground.errors import InputError
from ..ground.tables import read_toml
from ..motion.truth import Truth
from ..stroke.pattern import StrokePattern
from ..swimmer.anthropometry import Body
from .clean_draw import drawn_keys
from .models import Scenario
from .play import Swum, swim_clean
from .resolve import clean_pattern, resolve
from .severity import size_of

Severities = Mapping[tuple[str, str, str], float]
MOST_NUMBER = 2**31 - 1


@dataclass(frozen=True)
class CleanSwimmer:
    """A drawn swimmer: its scenario, how it swims, how near it comes to each fault, and why draws were thrown away.

    `severities` are effective severities by (fault, side, kind of strokes or pair that differs); `redrawn` holds one
    line for each draw before this one.
    """

    seed: int
    number: int
    scenario: Scenario
    swum: Swum
    severities: Severities
    redrawn: tuple[str, ...]

    @property
    def nearest_fault(self) -> tuple[str, float]:
        """The fault that this swimmer comes nearest to, and its effective severity."""
        (slug, _, _), severity = max(self.severities.items(), key=lambda item: item[1])
        return slug, severity


def clean_scenario(seed: int, number: int) -> Scenario:
    """The scenario of one clean swimmer: resolved, with stroke-to-stroke scatter and no fault.

    Parameters
    ----------
    seed : int
        Of the family.
    number : int
        Of the swimmer in it, from 0; no swimmer depends on how many are drawn.

    Raises
    ------
    InputError
        A seed or number out of range.
    """
    return clean_swimmer(seed, number).scenario


def clean_swimmers(seed: int, count: int) -> Iterator[CleanSwimmer]:
    """The first `count` clean swimmers of a family, one after the other."""
    for number in range(count):
        yield clean_swimmer(seed, number)


@functools.lru_cache(maxsize=8)
def clean_swimmer(seed: int, number: int) -> CleanSwimmer:
    """One clean swimmer, swum.

    Raises
    ------
    InputError
        A seed or number out of range, or a table from which no swimmer can be drawn.
    """
    _check(seed, number)
    most, redrawn = read_toml("clean_swimmers")["most_draws"], []
    for attempt in range(most):
        scenario = resolve(Scenario.model_validate(drawn_keys(seed, number, attempt)))
        try:
            swum = swim_clean(scenario)
        except InputError as error:
            redrawn.append(f"cannot be swum: {error}")
            continue
        severities = severities_of(swum.truth, clean=clean_pattern(scenario, swum.body), body=swum.body)
        found = CleanSwimmer(seed, number, scenario, swum, severities, tuple(redrawn))
        if found.nearest_fault[1] < read_toml("clean_swimmers")["most_severity"]:
            return found
        redrawn.append("near a fault: {} {:.2f}".format(*found.nearest_fault))
    raise InputError(f"clean swimmer {number} of seed {seed}: none in {most} draws; the last: {redrawn[-1]}")


def severities_of(truth: Truth, *, clean: StrokePattern, body: Body) -> Severities:
    """Effective severity of every fault and part of a fault, on each side, kind of strokes and pair that can show it.

    Parameters
    ----------
    truth : Truth
    clean : StrokePattern
        The stroke without faults, before any scatter.
    """
    found = {}
    for setting in _settings(clean):
        severity = _severity(setting, truth, clean, body)
        if math.isfinite(severity):
            found[setting.fault, setting.side, setting.of or setting.strokes] = severity
    return found


def _settings(clean: StrokePattern) -> Iterator[FaultSetting]:
    """Every fault that this swimmer could show: each side, kind of strokes and pair."""
    for slug, fault in {**faults(), **aliases()}.items():
        kinds = fault.strokes if "breathing_only" in fault.row else ("every",)
        if not _can_show(fault.row.get("needs"), clean):
            continue
        for side, kind, pair in itertools.product(fault.sides, kinds, fault.pairs or (None,)):
            yield FaultSetting(slug, severity=0.0, side=side, strokes=kind, of=pair)


def _severity(setting: FaultSetting, truth: Truth, clean: StrokePattern, body: Body) -> float:
    """NaN where this swimmer has no such strokes."""
    try:
        return size_of(setting, truth, clean=clean, body=body).severity_effective
    except InputError:
        return float("nan")


def _can_show(needs: str | None, pattern: StrokePattern) -> bool:
    return {"breath": pattern.breathing_every, "kick": pattern.kick_beats, None: 1}[needs] > 0


def _check(seed: int, number: int) -> None:
    for name, value, most in (("seed", seed, 2**32 - 1), ("clean swimmer", number, MOST_NUMBER)):
        if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= most:
            raise InputError(f"{name}: expected a whole number from 0 to {most}, got {value!r}")
