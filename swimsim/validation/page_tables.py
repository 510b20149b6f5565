"""Tables in the page of a scorecard: on a narrow screen each row becomes a card that names its numbers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from .detection import BEYOND
from .page_plots import text
from .score_faults import HALF, view_of
from .scorecard import Card

Pair = tuple[str, str]  # a cell: the detector's number, and the package's own on the same clips


def table(says: str, head: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    """A table with a caption; nothing where there are no rows."""
    body = "".join(
        "<tr>" + "".join(_cell(name, cell) for name, cell in zip(head, row, strict=True)) + "</tr>"
        for row in rows
    )
    names = "".join(f'<th scope="col">{text(name)}</th>' for name in head)
    return (
        f"<table><caption>{text(says)}</caption><thead><tr>{names}</tr></thead><tbody>{body}</tbody></table>"
        if body
        else ""
    )


def _cell(name: str, cell: Any) -> str:
    shown = (
        f"<span>{text(cell[0])}<small>{text(cell[1])}</small></span>"
        if isinstance(cell, tuple)
        else text(cell)
    )
    return f'<td data-name="{text(name)}">{shown}</td>'


def fold(summary: str, inside: str, *, kind: str = "") -> str:
    """Something that opens when it is asked for; nothing where nothing is inside."""
    return f'<details class="{kind}"><summary>{text(summary)}</summary>{inside}</details>' if inside else ""


def counted(number: int, what: str) -> str:
    """`1 fault`, `2 faults`."""
    return f"{number} {what}{'' if number == 1 else 's'}"


def number(value: Any, digits: int = 2) -> str:
    """A number, or a dash where there is none."""
    return "-" if value is None else f"{value:.{digits}f}"


def span(row: Card, key: str, digits: int = 2) -> str:
    """A number with its interval in brackets."""
    low, high = row.get(f"{key}_ci") or (None, None)
    value, says = number(row.get(key), digits), row.get(f"{key}_says") or ""
    if BEYOND in says:
        place = says[says.index(BEYOND) :]
        value = place if row.get(key) is None else value
        return value if low is None else f"{value} ({low:.{digits}f} to {place})"
    return value if low is None or high is None else f"{value} ({low:.{digits}f} to {high:.{digits}f})"


_HEAD = ("fault", "view", "AUC at half", "AUC, all", "50 % found from", "95 % found from", "false alarms in 100",
         "severity error", "clips faulty, clean")  # fmt: skip


def _numbers(row: Card) -> list[str]:
    cells = [span(row, key) for key in ("auc", "auc_all", "s50", "s95")]
    return [*cells, span(row, "false_alarms_per_100", 0), span(row, "severity_mae")]


def is_judged(row: Card) -> bool:
    """Whether a row of a fault has scores."""
    return not (row["reason"] or "").startswith(("failed", "not judged"))


def rows_of(block: Card, condition: str, view: str) -> dict[str, Card]:
    """Slug to the row of one condition and kind of view."""
    found = {slug: ways.get(condition, {}).get(view_of(slug, view)) for slug, ways in block.items()}
    return {slug: row for slug, row in found.items() if row is not None}


def fault_tables(card: Card, condition: str, view: str) -> str:
    """Judged faults in a table, beside ours where they are somebody else's; the others folded."""
    own = rows_of(card["built_in"]["faults"], condition, view) if "built_in" in card else {}
    judged, left = [], []
    for slug, row in rows_of(card["faults"], condition, view).items():
        name = (slug.replace("_", " "), view_of(slug, view).replace("_", " "))
        counts = f"{row['faulty_clips']}, {row['clean_clips']}"
        theirs = _numbers(own[slug]) if slug in own else None
        if is_judged(row):
            cells = _numbers(row)
            judged.append((*name, *(zip(cells, theirs, strict=True) if theirs else cells), counts))
        else:
            left.append((*name, row["reason"], *(theirs[1:3] if theirs else ())))
    beside = " Below each number of yours, in grey, that of swimsim on the same clips." if own else ""
    half = f"Half: effective severity {HALF[0]:g} to {HALF[1]:g}."
    says = f"95 % intervals in brackets. {half} - : too few clips to say.{beside}"
    head = ("fault", "view", "why", *(("AUC, all, of swimsim", "50 % found from, by swimsim") if own else ()))
    note = "A fault that no finding names is neither missed nor left alone: it is not judged."
    rest = table(note, head, left)
    said = "failed" if left and all(row[2].startswith("failed") for row in left) else "not judged"
    judged_here = table(says, _HEAD, judged)
    wide = f'<div class="wide">{judged_here}</div>' if judged else ""
    return wide + fold(f"{counted(len(left), 'fault')} {said}", rest, kind="grey")


def answered_line(card: Card, condition: str, view: str) -> str:
    """How many clips of each view were answered, for somebody else's detector."""
    if "built_in" not in card:
        return ""
    views = dict.fromkeys(view_of(slug, view) for slug in card["faults"]) if view == "best" else [view]
    parts = []
    for name in views:
        way = card["answered"].get(condition, {}).get(name)
        if way:
            failed = f", failed in {way['failed']}" if way["failed"] else ""
            parts.append(
                f"{name.replace('_', ' ')} {way['answered']} of {counted(way['clips'], 'clip')}{failed}"
            )
    return f'<p class="small">Your detector answered: {text("; ".join(parts))}.</p>' if parts else ""


def any_table(card: Card) -> str:
    """Clean swimmers in whom some detector saw a fault."""
    head = ("condition", "detector", "view", "clean swimmers", "with an alarm", "share")
    blocks = [(card["detector"], card["any_fault"])]
    blocks += [("swimsim", card["built_in"]["any_fault"])] if "built_in" in card else []
    rows = [
        (c, name, v, row["swimmers"], row["alarmed"], span(row, "rate"))
        for name, block in blocks
        for c, views in block.items()
        for v, row in views.items()
        if row["swimmers"]
    ]
    return table("Each fault in its own view.", head, rows)


def event_table(card: Card) -> str:
    """Events found against true ones."""
    head = ("event", "condition", "precision", "recall", "F", "bias, ms", "SD, ms", "within half a frame")
    rows = [
        (name.replace("_", " "), c, number(r["precision"], 3), number(r["recall"], 3), number(r["f"], 3),
         *(number(None if r[key] is None else 1000 * r[key], 1) for key in ("bias_s", "sd_s")),
         number(r["within_half_frame"], 3))
        for name, conditions in card["events"].items()
        for c, r in conditions.items()
        if r is not None
    ]  # fmt: skip
    return table("Matched one to one within 0.1 s; bias and SD of the matched ones.", head, rows)


def point_table(card: Card) -> str:
    """Points in pictures against where they are."""
    head = (
        "condition",
        "view",
        "clips",
        "median px",
        "95 % px",
        "median cm",
        "given",
        "OKS",
        "AP",
        "AP at 0.5",
    )
    rows = [
        (c, v.replace("_", " "), r["clips"], number(r["median_px"]), number(r["p95_px"]), number(r["median_cm"]),
         number(r["given"]), number(r["oks"], 3), number(r["ap"]), number(r["ap50"]))
        for c, views in card["points"].items()
        for v, r in views.items()
    ]  # fmt: skip
    return table(
        "Of clean swimmers; errors of the points that were given, OKS and AP as COCO has them.", head, rows
    )


def measure_table(card: Card, condition: str, view: str) -> str:
    """Measures read against true ones."""
    head = (
        "measure",
        "unit",
        "n",
        "share read",
        "bias",
        "SD",
        "limits",
        "ICC(A,1)",
        "slope",
        "smallest change",
    )
    rows = []
    for key, conditions in card["measures"].items():
        r = conditions.get(condition, {}).get(view)
        if r is not None:
            limits = f"{number(r['loa_low'])} to {number(r['loa_high'])}"
            rows.append((
                key.replace("_", " "), r["unit"], r["n"], number(r["read_share"]), span(r, "bias"), number(r["sd"]),
                limits, number(r["icc_a1"]), number(r["slope"]), number(r["smallest_change"]),
            ))  # fmt: skip
    says = "Read minus true. Limits: 95 % limits of agreement. Smallest change: of a swimmer, more than error (95 %)."
    return table(says, head, rows)
