"""Everything that a validation leaves: scorecard as JSON, CSV and page, and its plots."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from ..detectors import rules
from ..ground.files import write_rows
from ..ground.tables import read_toml
from ..view.ladder_plot import Steps, draw_ladder
from ..view.score_plots import Panel, draw_confusion, draw_detection, draw_errors, draw_plan, draw_roc
from .detector_words import cells_of, is_left_out, short
from .score_faults import CLEAR, view_of
from .score_page import write_page
from .scorecard import Card, write_csv, write_json

JSON, CSV, PAGE = "scorecard.json", "scorecard.csv", "scorecard.html"
PLOTS = ("detection_", "roc_", "confusion_", "errors_")
UNITS = ("deg", "cm", "%")  # of the measures that are drawn


def write_report(card: Card, folder: Path, *, short: Sequence[str] | None = None) -> tuple[str, ...]:
    """Write all files into the folder; returns their names, the page first."""
    plots = _plots(card, folder)
    for path in folder.glob("*.png"):
        if path.name.startswith(PLOTS) and path not in [plot for plot, _ in plots]:
            path.unlink()  # of an earlier scorecard
    write_json(card, folder / JSON)
    write_csv(card, folder / CSV)
    write_page(card, folder / PAGE, plots=plots, short=short)
    return (PAGE, JSON, CSV, *(path.name for path, _ in plots))


def summary_rows(card: Card) -> list[dict[str, str]]:
    """The table for a terminal: one row for each fault, condition and view that was judged."""
    own, foreign = card.get("built_in", {}).get("faults", {}), "built_in" in card
    return [
        {"fault": slug, "condition": condition, "view": view,
         **cells_of(row, own.get(slug, {}).get(condition, {}).get(view))}
        for slug, ways in card["faults"].items()
        for condition, views in ways.items()
        for view, row in views.items()
        if not (foreign and is_left_out(row))
    ]  # fmt: skip


def _plots(card: Card, folder: Path) -> list[tuple[Path, str]]:
    found = _ladders(card, folder)
    for condition in card["design"]["conditions"]:
        for view in card["design"]["views"]:
            if any(view_of(slug, view) in ways.get(condition, {}) for slug, ways in card["faults"].items()):
                found += _plots_of(card, folder, condition, view)
    return found


def _ladders(card: Card, folder: Path) -> list[tuple[Path, str]]:
    """Error against frame rate and noise, a picture for each view: what the detectors look at, and the events."""
    found, rungs = [], card.get("ladder") or {}
    for view in card["design"]["views"] if rungs else ():
        panels = [*_measure_steps(rungs, view), *_event_steps(rungs, view)]
        if panels:
            path = folder / f"ladder_{view}.png"
            draw_ladder(
                panels, path, title=f"Error against frame rate and noise, view {_words(view)}",
                beside_says="up: root-mean-square error; grey, at events: error of whole frames, 1/(sqrt(12) rate)",
            )  # fmt: skip
            found.append((path, f"Error against frame rate and noise, view {_words(view)}."))
    return found


def _measure_steps(rungs: Card, view: str) -> list[Steps]:
    units = {key: row["unit"] for key, row in read_toml("definitions")["measure"].items()}
    keys = dict.fromkeys(rule.tests[0].limit.measure for rule in rules().values())
    lines = {key: _known(rungs["measures"].get(key, {}).get(view, ()), "rmse") for key in keys}
    return [Steps(_words(key), units[key], rows) for key, rows in lines.items() if rows]


def _event_steps(rungs: Card, view: str) -> list[Steps]:
    found = []
    for name, views in rungs["events"].items():
        rows = _known(views.get(view, ()), "rmse_s", times=1000)
        if rows:
            whole = sorted({(row["rate_hz"], 1000 * row["rounding_s"]) for row in views[view]})
            found.append(Steps(_words(name), "ms", rows, whole))
    return found


def _known(rows: Sequence[Card], key: str, *, times: float = 1.0) -> list[tuple[float, float, float]]:
    return [(row["rate_hz"], row["noise_px"], times * row[key]) for row in rows if row[key] is not None]


def _plots_of(card: Card, folder: Path, condition: str, view: str) -> list[tuple[Path, str]]:
    name, where = _name_of(condition, view), f"{condition}, view {view}"
    rows = {s: ways.get(condition, {}).get(view_of(s, view)) for s, ways in card["faults"].items()}
    rows = {slug: row for slug, row in rows.items() if row is not None and row["points"]}
    found = _fault_plots(card, rows, folder, (condition, view)) if rows else []
    errors = [
        (key, r["unit"], r["bias"], r["loa_low"], r["loa_high"])
        for key, ways in card["measures"].items()
        if (r := ways.get(condition, {}).get(view)) and r["unit"] in UNITS and r["loa_low"] is not None
    ]
    if errors:
        path = folder / f"errors_{name}.png"
        draw_errors(
            [e for unit in UNITS for e in errors if e[1] == unit], path, title=f"Errors of measures ({where})"
        )
        found.append((path, f"Errors of measures, {where}: dot the bias, bar the 95 % limits of agreement."))
    return found


def _fault_plots(
    card: Card, rows: dict[str, Card], folder: Path, kind: tuple[str, str]
) -> list[tuple[Path, str]]:
    """Detection, ROC and confusion of the faults that were judged."""
    condition, view = kind
    name, where = _name_of(condition, view), f"{condition}, view {view}"
    detection, roc, confusion = (folder / f"{what}_{name}.png" for what in ("detection", "roc", "confusion"))
    draw_detection(
        [Panel(_words(s), r["points"], _half(r), r["s50"]) for s, r in rows.items()],
        detection, title=f"From which severity a fault is found ({where})",
    )  # fmt: skip
    draw_roc(
        [Panel(_words(s), r["roc"], f"AUC {short(r['auc_all'])}, all severities") for s, r in rows.items()],
        roc, title=f"Faulty against clean clips ({where})",
    )  # fmt: skip
    draw_confusion(
        card["confusion"][condition][view]["present"], confusion, title=f"What is taken for what ({where})",
        words=(f"Rows: fault that was swum, effective severity {CLEAR:g} or more; last row: clean swimmers.",
               "Columns: detectors that spoke, percent of the clips, in the best view of the row's fault."
               if view == "best" else "Columns: detectors that spoke, percent of the clips."),
    )  # fmt: skip
    return [
        (detection, f"Detection, {where}: each dot is a clip; dashed, the severity found half of the time."),
        (roc, f"ROC, {where}."),
        (confusion, f"Confusion, {where}: off the diagonal is what is taken for something else."),
    ]


def _name_of(condition: str, view: str) -> str:
    return f"{condition}_{view}".replace(" ", "_").replace("+", "and")


PLAN_CSV, PLAN_PNG = "camera.csv", "camera.png"


def write_plan(rows: list[dict], words: Sequence[str], folder: Path) -> tuple[str, ...]:
    """The plan of a camera as table and picture; returns the names of the files."""
    cells = [
        [
            row["change"],
            slug,
            "yes" if f["seen"] else "no",
            short(f["from"]),
            short(f["auc"]),
            f["why"] or "",
        ]
        for row in rows
        for slug, f in row["faults"].items()
    ]
    write_rows(folder / PLAN_CSV, ["change", "fault", "seen", "from_severity", "auc", "why"], cells)
    draw_plan(rows, folder / PLAN_PNG, title="What the camera can show", words=words)
    return (PLAN_CSV, PLAN_PNG)


def _words(slug: str) -> str:
    return slug.replace("_", " ")


def _half(row: Card) -> str:
    alarms = f"{row['false_alarms']} false alarms in {row['clean_clips']}"
    return f"half from {short(row['s50'])}; {alarms}"
