"""Stroke rate and speed from what people know: a rate, a speed, a pace per 100 m, a stroke count per length.

Speed is rate times stroke length (definition), so any two of the three give the third. A stroke count is of
arm strokes, two to a cycle, over the metres that were swum; a push-off is not taken off.
"""

from __future__ import annotations

from dataclasses import dataclass

_AGREES = 0.01  # share by which two ways to say one number may differ: paces are read to the second


@dataclass(frozen=True)
class Tempo:
    """What a scenario says of rate [Hz], speed [m/s] and stroke length [m]; None where it says nothing."""

    rate_hz: float | None
    speed_m_s: float | None
    length_m: float | None


def tempo(given: dict[str, float | None]) -> Tempo:
    """Rate, speed and stroke length from the keys of `[stroke]`; a third number follows from any two.

    Raises
    ------
    ValueError
        Two ways to say the same number do not agree, or a stroke count lacks its distance.
    """
    per_min, speed, pace = (given.get(k) for k in ("stroke_rate_per_min", "speed_m_s", "pace_s_per_100m"))
    count, pool = given.get("stroke_count"), given.get("pool_length_m")
    if (count is None) != (pool is None):
        lacking = "pool_length_m" if pool is None else "stroke_count"
        raise ValueError(f"{lacking}: expected stroke_count and pool_length_m together, got only one of them")
    if pace is not None:
        speed = _agreed(speed, 100.0 / pace, "pace_s_per_100m = {:g} (which is {:.3f} m/s)", pace)
    rate = None if per_min is None else per_min / 60.0
    length = None if count is None else 2.0 * pool / count
    if length is None:
        return Tempo(rate, speed, None)
    if rate is not None and speed is not None:
        text = "stroke_count = {:g} (which with this rate is {:.3f} m/s)"
        _agreed(speed, rate * length, text, count, within=1.0 / count)
    elif rate is not None:
        speed = rate * length
    elif speed is not None:
        rate = speed / length
    return Tempo(rate, speed, length)


def _agreed(speed: float | None, other: float, text: str, value: float, *, within: float = _AGREES) -> float:
    if speed is not None and abs(other / speed - 1.0) > within:
        raise ValueError(
            f"speed_m_s: expected one speed, got {speed:.3f} m/s and {text.format(value, other)}; "
            "leave one out"
        )
    return other if speed is None else speed
