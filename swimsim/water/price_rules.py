"""When the model puts a price on a fault, and when it has to say that it cannot.

Three rules, the same for every fault. One: no force input changes by more than 1 %. Two: the legs make most of the
change; the kick is then the clean swimmer's in both, because a kick here takes some two times the power that its
published efficiency allows, and no price may hang on it. Three: the interval of the paired difference contains 0.
"""

from __future__ import annotations

import dataclasses

import numpy as np

from ..ground.tables import read_toml
from .coefficients import coefficients
from .forces import ARM_KINDS
from .power import balance
from .surge import Equation, Stroke

LEAST_CHANGE = 0.01  # of a force input; below it the model has nothing to say
LEGS_MOST = 0.5  # share of the change of power that the legs may make
NO_PRICE = "this model puts no price on it"
KICK_LEFT_OUT = "posture and arms alone: this model's kick takes too much power for its thrust to be priced"


AT_MOST = "its drag is held at the most that is published for a posture, so that worse costs no more"


def with_bound(note: str | None, *strokes: Stroke) -> str | None:
    """The note, and with it that a posture stands at the bound of its drag, where one of these does."""
    shares = read_toml("water")["posture"]
    bound = any(
        (s.posture.area_m2 / s.posture.reference_m2) ** shares["follows"]["value"] >= shares["most"]
        for s in strokes
    )
    return "; ".join(part for part in (note, AT_MOST if bound else None) if part) or None


def changes(clean: Stroke, fault: Stroke) -> dict[str, float]:
    """What a fault changes in what the model feels, as shares: drag, thrust and wasted power of arms and of legs.

    Both are taken at the clean swimmer's speed of every instant with the usual coefficients, so that only the path
    differs. Forces as shares of the drag, power as shares of all power.
    """
    surge = clean.usual
    equation = Equation(fault, coefficients(), clean.path.rate_hz)
    momentum = surge.advance_m + np.multiply.outer(equation.inner_m[::2], equation.inner_share)
    one, other = balance(surge), balance(dataclasses.replace(surge, equation=equation, momentum_m=momentum))
    over = {"drag_n": one.drag_n, "arm_thrust_n": one.drag_n, "leg_thrust_n": one.drag_n}
    over |= dict.fromkeys(("drag_w", "arms_w", "legs_w"), one.total_w)
    return {name: ((getattr(other, name) - getattr(one, name)) / by).item() for name, by in over.items()}


def force_change(clean: Stroke, fault: Stroke) -> float:
    """Greatest change of a force input, as a share."""
    return float(np.abs(list(changes(clean, fault).values())).max())


def legs_share(clean: Stroke, fault: Stroke) -> float:
    """Share of the legs in the changes of power: of drag, arms and legs, each counted by its size."""
    change = changes(clean, fault)
    sizes = {name: abs(change[name]) for name in ("drag_w", "arms_w", "legs_w")}
    return sizes["legs_w"] / max(sum(sizes.values()), 1e-12)


def with_kick_of(stroke: Stroke, other: Stroke) -> Stroke:
    """A stroke whose legs push as those of another on the same pace do; its arms and its posture stay."""
    first = len(ARM_KINDS)
    kept = {}
    for name in ("push", "spent", "held"):
        values = getattr(stroke.table, name).copy()
        values[first:] = getattr(other.table, name)[first:]
        kept[name] = values
    return dataclasses.replace(stroke, table=dataclasses.replace(stroke.table, **kept))


def priced(clean: Stroke, fault: Stroke) -> tuple[Stroke, str | None]:
    """The faulty stroke as it may be priced, and a note where its kick had to be left out."""
    if force_change(clean, fault) > LEAST_CHANGE and legs_share(clean, fault) > LEGS_MOST:
        return with_kick_of(fault, clean), KICK_LEFT_OUT
    return fault, None


def no_price(seconds: tuple[float, float], *, change: float, note: str | None = None) -> str | None:
    """Why there is no price, or None.

    Parameters
    ----------
    seconds : (float, float)
        Ends of the interval of the paired difference per 100 m. [s]
    change : float
        From `force_change`.
    note : str, optional
        From `priced`.
    """
    low, high = seconds
    if change <= LEAST_CHANGE and note is not None:
        return f"{NO_PRICE}: it lies in the kick, whose power this model gets too high"
    if change <= LEAST_CHANGE:
        return f"{NO_PRICE}: no force that it knows changes by more than {100 * LEAST_CHANGE:g} %"
    if not (low > 0 or high < 0):
        return f"{NO_PRICE}: from {low:+.2f} to {high:+.2f} s per 100 m, so it may as well be none"
    return None
