"""The scorecard as one HTML page that needs nothing else: tables and plots in it, light or dark as the reader is."""

from __future__ import annotations

import base64
import html
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from ..ground.atomic import whole_file
from .detection import BEYOND
from .score_faults import CLEAR, HALF, view_of
from .scorecard import Card

_STYLE = """
:root { color-scheme: light dark; --ink: #1a1a1a; --ground: #fff; --soft: #555; --line: #ccc; --bad: #a33600; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #eee; --ground: #16181b; --soft: #aaa; --line: #444; --bad: #ff9a5c; } }
body { font: 16px/1.5 system-ui, sans-serif; color: var(--ink); background: var(--ground); margin: 0 auto;
  padding: 1rem; max-width: 80rem; }
h1 { font-size: 1.6rem; } h2 { font-size: 1.2rem; margin-top: 2.2rem; }
p.small, caption, figcaption { color: var(--soft); font-size: .9rem; }
.wide { overflow-x: auto; } table { border-collapse: separate; border-spacing: 0; }
table { font-size: .88rem; font-variant-numeric: tabular-nums; }
caption { text-align: left; padding: .3rem 0; }
th, td { padding: .25rem .55rem; border-bottom: 1px solid var(--line); text-align: right; white-space: nowrap; }
th:first-child, td:first-child { text-align: left; position: sticky; left: 0; background: var(--ground); }
.short { color: var(--bad); font-weight: 600; }
figure { margin: 1rem 0; } img { max-width: 100%; height: auto; background: #fff; }
"""


def write_page(
    card: Card, path: Path, *, plots: Sequence[tuple[Path, str]], short: Sequence[str] | None
) -> None:
    """Write the page.

    Parameters
    ----------
    plots : sequence of (path, sentence)
        PNG files to put in, each with what to see in it.
    short : sequence of str, optional
        What fell short of the requirements; None if there were none.
    """
    design = card["design"]
    parts = [
        f"<h1>Scorecard of {_text(card['detector'])}</h1>",
        f"<p>Design <b>{_text(design['name'])}</b>: {_text(design['says'])}. {design['swimmers']} clean swimmers, plan "
        f"{_text(design['plan'])}, seed {card['seed']}. {_text(_clips(card))}</p>",
        f'<p class="small">{_text(card["model"])} {_text(card["caution"])}</p>',
        _shortfall(short),
        *[_fault_table(card, c, v) for c in design["conditions"] for v in design["views"]],
        _any_table(card),
        *[_figure(plot, says) for plot, says in plots],
        _event_table(card),
        _point_table(card),
        *[_measure_table(card, c, v) for c in design["conditions"] for v in _views(card, c)],
        _notes(card),
    ]
    page = (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>Scorecard of {_text(card['detector'])}</title><style>{_STYLE}</style></head><body>\n"
        + "\n".join(part for part in parts if part)
        + "\n</body></html>\n"
    )
    with whole_file(path) as part:
        part.write_text(page, encoding="utf-8")


def _text(value: Any) -> str:
    return html.escape(str(value))


def _clips(card: Card) -> str:
    speed = card["speed"]["frames_per_s"]
    return f"{card['speed']['frames']} frames measured and judged" + (
        f", {speed:,.0f} a second." if speed else "."
    )


def _shortfall(short: Sequence[str] | None) -> str:
    if short is None:
        return ""
    if not short:
        return "<p>Everything that was required is reached.</p>"
    items = "".join(f"<li>{_text(line)}</li>" for line in short)
    return f'<h2 class="short">Fell short</h2><ul>{items}</ul>'


def _table(title: str, says: str, head: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    body = "".join("<tr>" + "".join(f"<td>{_text(cell)}</td>" for cell in row) + "</tr>" for row in rows)
    if not body:
        return ""
    names = "".join(f'<th scope="col">{_text(name)}</th>' for name in head)
    return (
        f'<h2>{_text(title)}</h2><div class="wide"><table><caption>{_text(says)}</caption><thead><tr>{names}</tr>'
        f"</thead><tbody>{body}</tbody></table></div>"
    )


def _number(value: Any, digits: int = 2) -> str:
    return "-" if value is None else f"{value:.{digits}f}"


def _span(row: Card, key: str, digits: int = 2) -> str:
    low, high = row.get(f"{key}_ci") or (None, None)
    value, says = _number(row.get(key), digits), row.get(f"{key}_says") or ""
    if BEYOND in says:
        place = says[says.index(BEYOND) :]
        value = place if row.get(key) is None else value
        return value if low is None else f"{value} ({low:.{digits}f} to {place})"
    return value if low is None or high is None else f"{value} ({low:.{digits}f} to {high:.{digits}f})"


def _fault_table(card: Card, condition: str, view: str) -> str:
    head = ("fault", "view", "AUC at half", "AUC, all", "50 % found from", "95 % found from", "false alarms in 100",
            "severity error", "clips faulty, clean")  # fmt: skip
    rows = []
    for slug, conditions in card["faults"].items():
        row = conditions.get(condition, {}).get(view_of(slug, view))
        if row is not None:
            rows.append((
                slug.replace("_", " "), view_of(slug, view).replace("_", " "), _span(row, "auc"), _span(row, "auc_all"),
                _span(row, "s50"), _span(row, "s95"), _span(row, "false_alarms_per_100", 0), _span(row, "severity_mae"),
                f"{row['faulty_clips']}, {row['clean_clips']}",
            ))  # fmt: skip
    return _table(
        f"Faults: {condition}, view {view}",
        f"95 % intervals in brackets. Half: effective severity {HALF[0]:g} to {HALF[1]:g}. - : too few clips to say.",
        head, rows,
    )  # fmt: skip


def _any_table(card: Card) -> str:
    rows = [
        (c, v, row["swimmers"], row["alarmed"], _span(row, "rate"))
        for c, views in card["any_fault"].items()
        for v, row in views.items()
        if row["swimmers"]
    ]
    return _table(
        "Clean swimmers in whom any detector saw a fault", "Each fault in its own view.",
        ("condition", "view", "clean swimmers", "with an alarm", "share"), rows,
    )  # fmt: skip


def _event_table(card: Card) -> str:
    rows = [
        (name.replace("_", " "), c, _number(r["precision"], 3), _number(r["recall"], 3), _number(r["f"], 3),
         _number(1000 * r["bias_s"], 1) if r["bias_s"] is not None else "-",
         _number(1000 * r["sd_s"], 1) if r["sd_s"] is not None else "-", _number(r["within_half_frame"], 3))
        for name, conditions in card["events"].items()
        for c, r in conditions.items()
        if r is not None
    ]  # fmt: skip
    return _table(
        "Events", "Matched one to one within 0.1 s; bias and SD of the matched ones in ms.",
        ("event", "condition", "precision", "recall", "F", "bias", "SD", "within half a frame"), rows,
    )  # fmt: skip


def _point_table(card: Card) -> str:
    rows = [
        (c, v.replace("_", " "), r["clips"], _number(r["median_px"]), _number(r["p95_px"]), _number(r["median_cm"]),
         _number(r["given"]), _number(r["oks"], 3), _number(r["ap"]), _number(r["ap50"]))
        for c, views in card["points"].items()
        for v, r in views.items()
    ]  # fmt: skip
    return _table(
        "Points in pictures", "Of clean swimmers; errors of the points that were given, OKS and AP as COCO has them.",
        ("condition", "view", "clips", "median px", "95 % px", "median cm", "given", "OKS", "AP", "AP at 0.5"), rows,
    )  # fmt: skip


def _views(card: Card, condition: str) -> list[str]:
    views: dict[str, None] = {}
    for conditions in card["measures"].values():
        views.update(dict.fromkeys(conditions.get(condition, {})))
    return list(views)


def _measure_table(card: Card, condition: str, view: str) -> str:
    rows = []
    for key, conditions in card["measures"].items():
        r = conditions.get(condition, {}).get(view)
        if r is not None:
            limits = f"{_number(r['loa_low'])} to {_number(r['loa_high'])}"
            rows.append((
                key.replace("_", " "), r["unit"], r["n"], _number(r["read_share"]), _span(r, "bias"), _number(r["sd"]),
                limits, _number(r["icc_a1"]), _number(r["slope"]), _number(r["smallest_change"]),
            ))  # fmt: skip
    return _table(
        f"Measures: {condition}, view {view.replace('_', ' ')}",
        "Read minus true. Limits: 95 % limits of agreement. Smallest change: of a swimmer, more than error (95 %).",
        ("measure", "unit", "n", "share read", "bias", "SD", "limits", "ICC(A,1)", "slope", "smallest change"), rows,
    )  # fmt: skip


def _figure(plot: Path, says: str) -> str:
    data = base64.b64encode(plot.read_bytes()).decode("ascii")
    return (
        f'<figure><div class="wide"><img alt="{_text(says)}" src="data:image/png;base64,{data}"></div>'
        f"<figcaption>{_text(says)}</figcaption></figure>"
    )


def _notes(card: Card) -> str:
    lines = [f"{name} {number}" for name, number in card["versions"].items()]
    lines.append(f"confusion: faults of effective severity {CLEAR:g} and more")
    if card["refused"]:
        lines.append(f"{len(card['refused'])} faults could not be swum by their swimmer and are left out")
    lines += [f"{count} clips in which the detector failed: {why}" for why, count in card["failed"].items()]
    return "<h2>Notes</h2><ul>" + "".join(f"<li>{_text(line)}</li>" for line in lines) + "</ul>"
