"""What a change would be worth: seconds per 100 m at the power that the swimmer has now, both with the same draws."""

from __future__ import annotations

import numpy as np

from .coefficients import Coefficients
from .cost import Interval, interval
from .effort import at_power
from .power import balance
from .price_rules import force_change, no_price, priced, with_bound
from .surge import Stroke, settle


def worth(
    now: Stroke, changed: Stroke, *, drawn: Coefficients, held: Stroke | None = None
) -> tuple[Interval, str | None, str | None]:
    """Seconds per 100 m that a change saves at the same mechanical power.

    Parameters
    ----------
    now, changed : Stroke
        From `prepare`; the rules that compare forces instant by instant hold where both swim at one pace.
    drawn : Coefficients
        Paired draws.
    held : Stroke, optional
        Whose power at its own pace is held; default that of `now`.

    Returns
    -------
    saved : Interval
        Median and 90 % interval, positive for a gain; empty where `reason` says why. [s]
    reason, note : str or None
        Why there is no number; what it leaves out.
    """
    note, change = None, 1.0
    if _one_pace(now, changed):
        changed, note = priced(now, changed)
        change = force_change(now, changed)
    surge = settle(now if held is None else held, drawn, (now if held is None else held).path.rate_hz)
    power = balance(surge).total_w
    if held is not None:
        surge, _ = at_power(now, drawn, power, rate_hz=now.path.rate_hz)
    other, _ = at_power(changed, drawn, power, rate_hz=changed.path.rate_hz)
    found = interval(100 / surge.mean_speed_m_s - 100 / other.mean_speed_m_s)
    reason = no_price((found.low, found.high), change=change, note=note)
    return (Interval(None, None, None) if reason else found), reason, with_bound(note, now, changed)


def _one_pace(now: Stroke, changed: Stroke) -> bool:
    """Whether two paths can be compared instant by instant."""
    same = np.isclose(now.path.rate_hz, changed.path.rate_hz, rtol=1e-9)
    return bool(same and now.path.cycles == changed.path.cycles and now.path.body == changed.path.body)
