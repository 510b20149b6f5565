"""The scorecard as one HTML page that needs nothing else: tables and plots in it, light or dark as the reader is."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from pathlib import Path

from ..ground.atomic import whole_file
from . import page_plots as plots_of
from .detector_words import failure_words
from .page_plots import figure, text
from .page_style import style
from .page_tables import (
    answered_line,
    any_table,
    counted,
    event_table,
    fault_tables,
    fold,
    is_judged,
    measure_table,
    number,
    point_table,
    rows_of,
)
from .score_faults import CLEAR
from .scorecard import Card

Section = tuple[str, str, str]  # anchor, title, what stands in it
_DRAWN_HERE = ("detection_", "roc_", "confusion_", "errors_")  # plots that the page draws itself
UNITS = ("deg", "cm", "%")  # of the measures that are drawn


def write_page(
    card: Card, path: Path, *, plots: Sequence[tuple[Path, str]], short: Sequence[str] | None
) -> None:
    """Write the page.

    Parameters
    ----------
    plots : sequence of (path, sentence)
        PNG files, each with what to see in it; those that the page draws itself are not put in.
    short : sequence of str, optional
        What fell short of the requirements; None if there were none.
    """
    name = text(card["detector"])
    sections = [section for section in _sections(card, plots) if section[2]]
    links = "".join(f'<li><a href="#{anchor}">{text(title)}</a></li>' for anchor, title, _ in sections)
    parts = [
        f"<h1>Scorecard of {name}</h1>", _banner(card), _shortfall(short), _about(card),
        f"<nav><b>On this page</b><ul>{links}</ul></nav>",
        *(f'<section id="{anchor}"><h2>{text(title)}</h2>{body}</section>' for anchor, title, body in sections),
    ]  # fmt: skip
    page = (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>Scorecard of {name}</title><style>{style()}</style></head><body>\n"
        + "\n".join(part for part in parts if part)
        + "\n</body></html>\n"
    )
    with whole_file(path) as part:
        part.write_text(page, encoding="utf-8")


def _about(card: Card) -> str:
    design, speed = card["design"], card["speed"]
    rate = f", {speed['frames_per_s']:,.0f} a second" if speed["frames_per_s"] else ""
    return (
        f"<p>Design <b>{text(design['name'])}</b>: {text(design['says'])}. "
        f"{counted(len(design['faults']), 'fault')}, {counted(design['swimmers'], 'clean swimmer')}, "
        f"plan {text(design['plan'])}, seed {card['seed']}. {speed['frames']} frames measured and judged{rate}.</p>"
        f'<p class="small">{text(card["model"])} {text(card["caution"])}</p>'
    )


def _banner(card: Card) -> str:
    """In how many clips the detector failed, where nobody can overlook it."""
    words = failure_words(card)
    if words is None:
        return ""
    reasons = "".join(f"<li>{text(why)} ({counted(n, 'clip')})</li>" for why, n in card["failed"].items())
    listed = f"<ul>{reasons}</ul>" if len(card["failed"]) > 1 else ""
    return f'<div class="alarm"><b class="short">{text(words[0].upper() + words[1:])}</b>{listed}</div>'


def _shortfall(short: Sequence[str] | None) -> str:
    if short is None:
        return ""
    if not short:
        return "<p>Everything that was required is reached.</p>"
    items = "".join(f"<li>{text(line)}</li>" for line in short)
    return f'<h2 class="short">Fell short</h2><ul>{items}</ul>'


def _sections(card: Card, plots: Sequence[tuple[Path, str]]) -> list[Section]:
    design, foreign = card["design"], "built_in" in card
    kinds = [(c, v) for c in design["conditions"] for v in design["views"]]
    found = [
        (f"faults-{k}", f"Faults: {_way(c, v)}", answered_line(card, c, v) + fault_tables(card, c, v))
        for k, (c, v) in enumerate(kinds)
    ]
    found.append(("alarms", "Clean swimmers in whom a fault was seen", any_table(card)))
    for k, (c, v) in enumerate(kinds):
        found += [
            (f"detection-{k}", f"From which severity a fault is found: {_way(c, v)}", _detection(card, c, v)),
            (f"roc-{k}", f"Faulty against clean clips: {_way(c, v)}", _roc(card, c, v)),
            (f"confusion-{k}", f"What is taken for what: {_way(c, v)}", _confusion(card, c, v)),
        ]
    ours = foreign and not _gives_more(card)
    found.append(("reading", "How well swimsim reads" if ours else "How well clips are read", _reading(card)))
    found += [(f"plot-{k}", says, _picture(plot, says)) for k, (plot, says) in enumerate(_others(plots))]
    return [*found, ("notes", "Notes", _notes(card))]


def _way(condition: str, view: str) -> str:
    return f"{condition}, {'each in its best view' if view == 'best' else 'view ' + view.replace('_', ' ')}"


def _judged(card: Card, condition: str, view: str) -> dict[str, Card]:
    rows = rows_of(card["faults"], condition, view)
    return {slug: row for slug, row in rows.items() if is_judged(row)}


def _detection(card: Card, condition: str, view: str) -> str:
    panels = []
    for slug, row in _judged(card, condition, view).items():
        half = (row["s50_says"] or "-") if row["s50"] is None else number(row["s50"])
        alarms = (
            f"{counted(row['false_alarms'], 'false alarm')} in {counted(row['clean_clips'], 'clean clip')}"
        )
        drawn = plots_of.detection(row["points"], row["s50"])
        panels.append(figure(slug.replace("_", " "), f"half found from {half}; {alarms}", drawn))
    return _panels(
        "Each dot is a clip: found above, not found below; 0 is as usual at that pace, 1 gross. Dashed: half found.",
        panels,
    )


def _roc(card: Card, condition: str, view: str) -> str:
    panels = [
        figure(
            slug.replace("_", " "), f"AUC {number(row['auc_all'])}, all severities", plots_of.roc(row["roc"])
        )
        for slug, row in _judged(card, condition, view).items()
    ]
    return _panels(
        "Upwards the share of faulty clips, along that of clean clips, that score as high.", panels
    )


def _panels(says: str, panels: Sequence[str]) -> str:
    return f'<p class="small">{text(says)}</p><div class="panels">{"".join(panels)}</div>' if panels else ""


def _confusion(card: Card, condition: str, view: str) -> str:
    shares = card["confusion"][condition][view]["present"]
    if not _judged(card, condition, view):
        return ""
    where = ", in the best view of the row's fault" if view == "best" else ""
    says = (
        f"Rows: fault that was swum, effective severity {CLEAR:g} or more; last, clean swimmers. Columns: detectors "
        f"that spoke, percent of the clips{where}."
    )
    return f'<p class="small">{text(says)}</p>{plots_of.confusion(shares)}{plots_of.confusion_list(shares)}'


def _reading(card: Card) -> str:
    """Events, points and measures: our own reading, but for a detector that gives points or measures."""
    note = ""
    if _gives_more(card):
        note = '<p class="note">What follows is made of the points or measures that your detector gave.</p>'
    elif "built_in" in card:
        note = (
            '<p class="note">What follows is swimsim\'s own reading of the same clips, not that of your detector: '
            "what could be read off them.</p>"
        )
    parts = [fold("Events", event_table(card)), fold("Points in pictures", point_table(card))]
    for condition in card["design"]["conditions"]:
        views: dict[str, None] = {}
        for conditions in card["measures"].values():
            views.update(dict.fromkeys(conditions.get(condition, {})))
        for view in views:
            drawn = _errors(card, condition, view) + measure_table(card, condition, view)
            parts.append(fold(f"Measures: {_way(condition, view)}", drawn))
    return note + "".join(parts) if any(parts) else ""


def _gives_more(card: Card) -> bool:
    return bool({"points", "measures"} & set(card.get("gives", ())))


def _errors(card: Card, condition: str, view: str) -> str:
    rows = {
        key: r
        for key, ways in card["measures"].items()
        if (r := ways.get(condition, {}).get(view)) and r["loa_low"] is not None
    }
    panels = []
    for unit in UNITS:
        own = [(key, r["bias"], r["loa_low"], r["loa_high"]) for key, r in rows.items() if r["unit"] == unit]
        if own:
            panels.append(figure(f"read minus true, {unit}", "", plots_of.errors(own)))
    return _panels("Dot: the bias; bar: the 95 % limits of agreement.", panels)


def _others(plots: Sequence[tuple[Path, str]]) -> list[tuple[Path, str]]:
    return [(plot, says) for plot, says in plots if not plot.name.startswith(_DRAWN_HERE)]


def _picture(plot: Path, says: str) -> str:
    data = base64.b64encode(plot.read_bytes()).decode("ascii")
    return f'<img alt="{text(says)}" src="data:image/png;base64,{data}">'


def _notes(card: Card) -> str:
    lines = [f"{name} {version}" for name, version in card["versions"].items()]
    lines.append(f"confusion: faults of effective severity {CLEAR:g} and more")
    if card["refused"]:
        lines.append(
            f"left out: {counted(len(card['refused']), 'fault')} of a size that the swimmer cannot swim"
        )
    lines += [
        f"in {counted(count, 'clip')} the detector failed: {why}" for why, count in card["failed"].items()
    ]
    lines += [f"in {counted(count, 'clip')}: {note}" for note, count in card["notes"].items()]
    return "<ul>" + "".join(f"<li>{text(line)}</li>" for line in lines) + "</ul>"
