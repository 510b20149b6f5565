"""What faults cost, in words and rows: the table, the sentence a coach may say, the lines of `cost.csv`."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

from ..faults.linked import in_order
from ..ground.conventions import CAUTION_LINE, MODEL_LINE
from ..ground.tables import read_toml
from ..ground.words import fault_words, order_of_correction
from ..scenario.price import Priced, SetSpeed
from ..scenario.put_right import Step
from ..scenario.what_if import Gain
from ..water.cost import Cost, Interval, headline

COLUMNS = ("fault", "severity", "held", "quantity", "unit", "median", "low", "high", "reason")
TEXT_LETTERS = 56  # across a phone
HEADLINE = ("power", "time_per_100_m")


def named(fault: str) -> str:
    """A fault in the trade's own words."""
    return fault_words(fault).terms[0]


def line_of(priced: Priced, held: str, quantity: str) -> Cost | None:
    """One line of a fault's costs; None where the swimmer cannot show it."""
    return next((c for c in priced.costs if (c.held, c.quantity) == (held, quantity)), None)


def csv_rows(prices: Sequence[Priced]) -> list[list[str]]:
    """Cells of `cost.csv`: the change that each fault makes, an empty number where the reason says why.

    A number with a reason beside it is one that leaves something out.
    """
    return [
        [p.fault, _cell(p.severity), c.held, c.quantity, c.unit]
        + [_cell(value) for value in (c.change.median, c.change.low, c.change.high)]
        + [c.reason or c.note or ""]
        for p in prices
        for c in p.costs
    ] + [
        [p.fault, _cell(p.severity), *HEADLINE, "s", "", "", "", p.refused]
        for p in prices
        if p.refused is not None
    ]


def _cell(value: float | None) -> str:
    return "" if value is None else f"{value:.6g}"


def ranked(prices: Sequence[Priced]) -> list[Priced]:
    """Dearest first at the same effort; faults without a price last, in their own order."""

    def seconds(priced: Priced) -> float:
        line = line_of(priced, *HEADLINE)
        return float("-inf") if line is None or line.change.median is None else line.change.median

    return sorted(prices, key=seconds, reverse=True)


def table(prices: Sequence[Priced]) -> list[dict[str, Any]]:
    """One row of the printed table for every fault, dearest first."""
    return [_row(priced) for priced in ranked(prices)]


def _row(priced: Priced) -> dict[str, Any]:
    row: dict[str, Any] = {"fault": priced.fault, "severity": priced.severity}
    line = line_of(priced, *HEADLINE)
    if line is None:
        return row | {"reason": priced.refused}
    rate = line_of(priced, "rate", "time_per_100_m")
    row["s per 100 m, same effort"] = _range(line)
    row["s per 100 m, same rate"] = _range(rate)
    for name, quantity in (("backward", "backward_share"), ("downward", "downward_share")):
        share = line_of(priced, "power", quantity)
        row[f"{name} share"] = f"{share.clean.median:.0f} to {share.fault.median:.0f} %"
    reason = line.reason or line.note or ""
    if rate.reason and not line.reason:
        reason = "; ".join([part for part in (reason, f"same rate: {rate.reason}") if part])
    return row | {"reason": reason}


def _range(line: Cost) -> str:
    return "" if line.change.median is None else _span(line.change)


def _span(change: Interval) -> str:
    return f"{change.median:+.1f} ({change.low:+.1f} to {change.high:+.1f})"


def sentences(prices: Sequence[Priced]) -> list[str]:
    """What a coach may say about each fault."""
    return [f"{named(p.fault)}: {_lower(headline(list(p.costs)))}" for p in ranked(prices) if p.costs]


def _lower(sentence: str) -> str:
    sentence = sentence.removeprefix("Time: ")
    return sentence[0].lower() + sentence[1:]


def speed_words(speed: SetSpeed) -> str:
    """What the set speed implies, in one sentence."""
    return (
        f"At the set {speed.set_m_s:.2f} m/s without a fault the body's drag is {speed.needed_n:.0f} N and the stroke "
        f"pushes {speed.given_n:.0f} N; left to the water it swims {speed.own_m_s:.2f} m/s."
    )


def fine_print(draws: int) -> list[str]:
    """What stands on every picture and table of costs."""
    gain = read_toml("water")["gain"]["unsteady"]["value"]
    return [
        f"{MODEL_LINE} Median and 90 % interval of {draws} paired draws of drag, hand forces, areas, unsteady gain "
        f"(about {gain:.2f}) and body; the same mechanical power with the fault and without it. "
        "Propelling efficiency is power against drag over all mechanical power on the water.",
        CAUTION_LINE,
    ]


def cost_text(prices: Sequence[Priced], *, title: str, draws: int) -> str:
    """Everything in plain text, the table in lines that a phone shows whole: `cost.txt`."""
    lines = [title]
    for row in table(prices):
        size = "" if row["severity"] is None else f", severity {_cell(row['severity'])}"
        lines += ["", row["fault"] + size]
        for name in row:
            if row[name] and name not in ("fault", "severity"):
                said = f"{name}: {row[name]}"
                lines += textwrap.wrap(said, TEXT_LETTERS, initial_indent="  ", subsequent_indent="    ")
    return "\n".join([*lines, "", *sentences(prices), "", *fine_print(draws), ""])


def gain_table(gains: Sequence[Gain]) -> list[dict[str, Any]]:
    """One row for every change, best first; `order` is the place of a fault in the order of correction."""
    return [
        {
            "change": gain.change,
            "saves, s per 100 m": "" if gain.saved.median is None else _span(gain.saved),
            "order": _place(gain),
            "reason": gain.reason or gain.note or "",
        }
        for gain in gains
    ]


def gain_csv(gains: Sequence[Gain]) -> tuple[list[str], list[list[str]]]:
    """Head and cells of `what_if.csv`."""
    head = ["change", "fault", "order", "unit", "median", "low", "high", "reason"]
    rows = [
        [gain.change, gain.fault or "", _place(gain), "s per 100 m"]
        + [_cell(value) for value in (gain.saved.median, gain.saved.low, gain.saved.high)]
        + [gain.reason or gain.note or ""]
        for gain in gains
    ]
    return head, rows


def step_table(steps: Sequence[Step]) -> list[dict[str, Any]]:
    """One row for every fault put right, in the order in which each next fix is worth most."""
    return [
        {
            "put right": f"{place}. {step.name}",
            "saves, s per 100 m": "" if step.saved.median is None else _span(step.saved),
            "with those before": "" if step.together.median is None else _span(step.together),
            "order": _place(step),
            "reason": step.reason or step.note or "",
        }
        for place, step in enumerate(steps, 1)
    ]


def step_csv(steps: Sequence[Step]) -> tuple[list[str], list[list[str]]]:
    """Head and cells of `put_right.csv`."""
    ends = ("median", "low", "high")
    head = ["place", "fault", "order", "unit", *ends, *(f"together_{end}" for end in ends), "reason"]
    rows = [
        [str(place), step.name, _place(step), "s per 100 m"]
        + [_cell(getattr(span, end)) for span in (step.saved, step.together) for end in ends]
        + [step.reason or step.note or ""]
        for place, step in enumerate(steps, 1)
    ]
    return head, rows


def step_sentence(steps: Sequence[Step]) -> str:
    """Which fix is worth most, against the order of correction, which puts causes before what follows from them."""
    priced = [step for step in steps if step.saved.median is not None and step.saved.median > 0]
    if not priced:
        return "This model puts no price on any of these faults; keep to the order of correction."
    best, first = priced[0], in_order(list(steps))[0]
    worth_most = f"In this model {named(best.fault)} is worth most to put right first"
    if best.fault == first.fault:
        return f"{worth_most}, and the order of correction begins with it too."
    return (
        f"{worth_most}; the order of correction begins with {named(first.fault)}, because a cause comes before what "
        "may follow from it."
    )


def _place(gain: Gain | Step) -> str:
    order = order_of_correction()
    return str(order.index(gain.fault) + 1) if gain.fault in order else ""
