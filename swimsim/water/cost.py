"""What a fault costs: the same swimmer with it and without it, at the same effort and at the same stroke rate.

Both swim with the same draw of every uncertain number, so an interval is that of the difference and not of two
swimmers. When there is no price, and when it leaves the kick out: `price_rules`.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from ..ground.conventions import SIDES
from .coefficients import Coefficients, drawn_coefficients
from .effort import at_power
from .hand_push import hand_push, push_shares
from .power import Power, balance
from .price_rules import AT_MOST, KICK_LEFT_OUT, force_change, no_price, priced, with_bound
from .surge import Stroke, Surge, settle

HELD = ("power", "rate")
DRAWS = 500
INTERVAL = (5.0, 50.0, 95.0)  # percent: a 90 % interval and its middle

#: What a note says -> how a coach says it.
LEFT_OUT = {KICK_LEFT_OUT: "its kick left out", AT_MOST: "its drag held at the most that is published"}

#: Quantity -> unit. The headline is `time_per_100_m`.
QUANTITIES = {
    "time_per_100_m": "s",
    "speed": "m/s",
    "stroke_rate": "cycles/min",
    "stroke_length": "m",
    "power": "W",
    "hand_force_mean": "N",
    "hand_force_peak": "N",
    "backward_share": "%",
    "downward_share": "%",
    "sideways_share": "%",
    "propelling_efficiency": "%",
    "speed_ripple": "%",
}


@dataclass(frozen=True)
class Interval:
    """Median and 90 % interval over the draws; None where there is no number."""

    median: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Cost:
    """One quantity with and without the fault.

    Parameters
    ----------
    held : str
        `power` or `rate`: what is the same in both.
    quantity, unit : str
    clean, fault, change : Interval
        Without, with, and the paired difference; the change is empty where `reason` says why.
    reason, note : str or None
        Why there is no number; what it leaves out.
    """

    held: str
    quantity: str
    unit: str
    clean: Interval
    fault: Interval
    change: Interval
    reason: str | None = None
    note: str | None = None


def cost(
    clean: Stroke,
    fault: Stroke,
    *,
    draws: Coefficients | int = DRAWS,
    seed: int = 0,
    rate_hz: float | None = None,
) -> list[Cost]:
    """Price of a fault.

    Parameters
    ----------
    clean, fault : Stroke
        The same swimmer without and with it, from `prepare`.
    draws : Coefficients or int
        The draws, or how many to make (Latin hypercube).
    rate_hz : float, optional
        Stroke rate of the clean swimmer, and of both where the rate is held; default that of the clean trace. [1/s]

    Returns
    -------
    list of Cost
        Every quantity of QUANTITIES, with power and with rate held.
    """
    drawn = drawn_coefficients(draws, seed=seed) if isinstance(draws, int) else draws
    rate = clean.path.rate_hz if rate_hz is None else rate_hz
    fault, note = priced(clean, fault)
    surge = settle(clean, drawn, rate)
    power = balance(surge)
    without = _values(surge, power)
    same_rate = settle(fault, drawn, rate)
    others = {
        "power": _values(*at_power(fault, drawn, power.total_w, rate_hz=rate)),
        "rate": _values(same_rate, balance(same_rate)),
    }
    change, said = force_change(clean, fault), with_bound(note, clean, fault)
    lines = [line for held in HELD for line in _lines(held, without, others[held], change=change, note=note)]
    return [dataclasses.replace(line, note=said) for line in lines]


def _values(surge: Surge, power: Power) -> dict[str, np.ndarray]:
    """Every quantity of n swimmers, in its unit."""
    hands = [hand_push(surge, side) for side in SIDES]
    shares = push_shares(*hands)
    speed = surge.mean_speed_m_s
    return {
        "time_per_100_m": 100 / speed,
        "speed": speed,
        "stroke_rate": 60 * surge.rate_hz,
        "stroke_length": surge.stroke_length_m,
        "power": power.total_w,
        "hand_force_mean": np.mean([hand.mean_n for hand in hands], axis=0),
        "hand_force_peak": np.max([hand.peak_n for hand in hands], axis=0),
        **{f"{way}_share": 100 * shares[way] for way in ("backward", "downward", "sideways")},
        "propelling_efficiency": 100 * power.propelling_efficiency,
        "speed_ripple": 100 * surge.ripple,
    }


def _lines(held: str, clean: dict, fault: dict, *, change: float, note: str | None) -> list[Cost]:
    """One line for every quantity; the changes of a fault without a price are empty where they hang on speed."""
    seconds = interval(fault["time_per_100_m"] - clean["time_per_100_m"])
    reason = no_price((seconds.low, seconds.high), change=change, note=note)
    hangs = ("time_per_100_m", "speed", "stroke_rate", "stroke_length", "power")
    return [
        Cost(
            held,
            name,
            unit,
            interval(clean[name]),
            interval(fault[name]),
            Interval(None, None, None) if reason and name in hangs else interval(fault[name] - clean[name]),
            reason if name in hangs else None,
            note,
        )
        for name, unit in QUANTITIES.items()
    ]


def interval(values: np.ndarray) -> Interval:
    """Median and 90 % interval of draws; a swimmer outside the range of the forces (NaN) is left out."""
    low, median, high = np.nanpercentile(values, INTERVAL)
    return Interval(float(median), float(low), float(high))


def headline(costs: list[Cost]) -> str:
    """What a coach may say about it, in one sentence."""
    line = next(c for c in costs if c.held == "power" and c.quantity == "time_per_100_m")
    if line.reason:
        return f"Time: {line.reason}."
    low, high = sorted((abs(line.change.low), abs(line.change.high)))
    word = "costs" if line.change.median > 0 else "saves"
    without = [said for part, said in LEFT_OUT.items() if part in (line.note or "")]
    without = ", " + " and ".join(without) if without else ""
    return f"In this model it {word} {_about(low, high)} s per 100 m at the same effort{without}."


def _about(low: float, high: float) -> str:
    """Two round numbers, or one where they are the same: whole seconds from 3 s on, tenths below."""
    digits = 0 if low >= 3 else 1
    first, second = f"{low:.{digits}f}", f"{high:.{digits}f}"
    return f"about {first}" if first == second else f"about {first} to {second}"
