"""The number beside a drawn thing: that of the key instant, exactly the truth, shown near that instant alone."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np

from ..ground.records import Drawn
from ..motion.truth import Truth
from ..view.sampling import hermite

NUMBER = re.compile(r"(?<![\w.])[-+]?\d+(?:\.\d+)?")
NEAR = 0.012  # cycle before and after the key instant in which a number is shown
BETWEEN_FRAMES = {
    "deg": 2.0,
    "cm": 2.0,
    "%": 0.6,
}  # more than the frames of a trace can miss of a value between them


def value_at(truth: Truth, measure: str, *, side: str, cycle: int, period: int) -> float:
    """True value of a measure in one cycle of an arm, or over all cycles where they are alike. [door unit]"""
    rows = [m for m in truth.measures if m.measure == measure and m.side in (None, side)]
    own = [m.value for m in rows if m.cycle == cycle % period]
    return own[0] if own else next(m.value for m in rows if m.cycle is None and m.breathing is None)


def is_inside(value: float, target: str) -> bool:
    """Whether a value lies inside a target in words: `15° or less`, `0 cm or more`, `less than 5 %`, `-10 to +8 cm`.

    False where the words say no number.
    """
    numbers = [float(text) for text in NUMBER.findall(target)]
    if "less than" in target:
        return bool(numbers) and value < numbers[0]
    if "more than" in target:
        return bool(numbers) and value > numbers[0]
    if "or less" in target:
        return bool(numbers) and value <= numbers[0]
    if "or more" in target:
        return bool(numbers) and value >= numbers[0]
    return len(numbers) == 2 and numbers[0] <= value <= numbers[1]


def at_key(drawn: Drawn, times_s: np.ndarray, phase: np.ndarray, *, key: tuple[float, float, float]) -> Drawn:
    """The same drawn thing, with its number of the key instant, shown near that instant.

    A number that ran on would differ from the one in the header at any pause. Between frames it is interpolated,
    and misses the truth by a little; the main number takes the truth instead.

    Parameters
    ----------
    times_s, phase : numpy.ndarray, shape (n_frames,)
        Of the frames of the trace. [s], [cycle]
    key : (float, float, float)
        Time [s] and cycle share of the key instant, and the true value there [unit of the drawn thing].
    """
    if drawn.values is None:
        return drawn
    time, share, truth = key
    values = np.asarray(drawn.values, float)
    held = float(hermite(times_s, values[:, None], np.array([time]))[0, 0])
    if drawn.tone == "main" and abs(truth - held) <= BETWEEN_FRAMES[drawn.unit]:
        held = truth  # else not the main measure, or another cycle than the truth is about
    frame = float(np.median(np.diff(np.unwrap(phase, period=1.0)))) if len(phase) > 1 else 0.0
    away = np.abs((phase - share + 0.5) % 1.0 - 0.5)
    return replace(drawn, values=np.where(away <= NEAR + frame, held, np.nan))
