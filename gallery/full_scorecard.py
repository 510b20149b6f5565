"""The full design on seeds that no limit was set on: every detector, measure and event, written to a page."""

import argparse
import json
import tempfile
from pathlib import Path

import swimsim
from swimsim.ground.conventions import MODEL_LINE
from swimsim.validation.score_faults import view_of

HERE = Path(__file__).parent
#: Aims for a square camera: AUC at half of gross, half found from, false alarms per 100, error of the severity.
AIMS = (("auc", 0.98, 1), ("s50", 0.35, -1), ("false_alarms_per_100", 2.0, -1), ("severity_mae", 0.08, -1))
MEASURES = (
    "shoulder_roll_peak", "hip_roll_peak", "entry_line", "extension_line", "exit_past_hip", "hand_depth",
    "phase_entry_catch", "phase_pull", "phase_push", "phase_recovery", "elbow_at_30cm_depth", "trunk_slope",
)  # fmt: skip


def reached(score: dict, key: str, aim: float, way: int) -> bool:
    """Whether one score is as good as its aim; what is not known is not reached."""
    return score[key] is not None and way * score[key] >= way * aim


def told(value: float | None, digits: int = 2) -> str:
    """A number, or a dash for none."""
    return "-" if value is None else f"{value:.{digits}f}"


def columns(rows: list[list[str]]) -> list[str]:
    """Rows as lines of equal columns: words to the left, numbers to the right."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    words = [all(not any(c.isdigit() for c in row[i]) for row in rows) for i in range(len(widths))]
    return [
        "  ".join(
            cell.ljust(width) if word or i < 3 else cell.rjust(width)
            for i, (cell, width, word) in enumerate(zip(row, widths, words, strict=True))
        ).rstrip()
        for row in rows
    ]


def cells(card: dict, key: str):
    """Every score of one part of the scorecard: what, condition, view, score."""
    for what, conditions in card[key].items():
        for condition, views in conditions.items():
            for view, score in views.items():
                yield what, condition, view, score


def summary(card: dict) -> list[str]:
    """One row for each condition, in space and in each fault's best view."""
    heads = (
        f"of {len(card['faults'])} faults", "AUC >= 0.98", "half found from <= 0.35", "alarms <= 2 in 100",
        "severity error <= 0.08", "clean with any alarm (95 %)",
    )  # fmt: skip
    lines = [f"| {' | '.join(heads)} |", "|---" * len(heads) + "|"]
    for condition, kinds in card["any_fault"].items():
        for kind, alarms in kinds.items():
            scores = [row[condition][view_of(slug, kind)] for slug, row in card["faults"].items()]
            good = [str(sum(reached(score, *aim) for score in scores)) for aim in AIMS]
            low, high = alarms["rate_ci"]
            any_alarm = f"{alarms['alarmed']} of {alarms['swimmers']} ({low:.0%} to {high:.0%})"
            lines.append(f"| {' | '.join([place(condition, kind), *good, any_alarm])} |")
    return lines


def place(condition: str, kind: str) -> str:
    """Where the swimmer was seen, in words."""
    return f"{condition}, {'in space' if kind == '3d' else 'one camera, best view'}"


def detectors(card: dict) -> list[str]:
    """One row for each fault, condition and view."""
    rows = [["fault", "condition", "view", "AUC", "clips", ">=.35", "all", "50%", "95%", "alarms", "error"]]
    for slug, condition, view, s in cells(card, "faults"):
        often = "beyond 1" if s["s95_says"] == "beyond 1" else told(s["s95"])
        rows.append([
            slug, condition, view, told(s["auc"]), str(s["auc_clips"]), told(s["auc_clear"]), told(s["auc_all"]),
            told(s["s50"]), often, told(s["false_alarms_per_100"], 1), told(s["severity_mae"], 3),
        ])  # fmt: skip
    return columns(rows)


def measures(card: dict) -> list[str]:
    """Errors of the measures that coaches ask for most."""
    rows = [["measure", "condition", "view", "bias", "SD", "RMSE", "from", "to", "ICC", "read", "unit"]]
    for key, condition, view, m in cells(card, "measures"):
        if key in MEASURES:
            numbers = [told(m[name]) for name in ("bias", "sd", "rmse", "loa_low", "loa_high")]
            rows.append(
                [key, condition, view, *numbers, told(m["icc_a1"], 3), told(m["read_share"]), m["unit"]]
            )
    return columns(rows)


def events(card: dict) -> list[str]:
    """Events in space."""
    rows = [["event", "condition", "precision", "recall", "bias ms", "SD ms", "within half a frame"]]
    for event, conditions in card["events"].items():
        for condition, e in conditions.items():
            rows.append([
                event, condition, told(e["precision"], 4), told(e["recall"], 4), told(1000 * e["bias_s"], 1),
                told(1000 * e["sd_s"], 1), told(e["within_half_frame"], 3),
            ])  # fmt: skip
    return columns(rows)


def taken_for(card: dict) -> list[str]:
    """Detectors that spoke of a fault that was not there, as a share of the clips."""
    lines = []
    for condition, kind, what, table in cells(card, "confusion"):
        if what == "present":
            for slug, row in table.items():
                others = [f"{other} {share:.0%}" for other, share in row.items() if other != slug and share]
                if others:
                    lines.append(f"{place(condition, kind)}; {slug}: {', '.join(others)}")
    return lines or ["none"]


def page(card: dict) -> str:
    """The whole page."""
    design = card["design"]
    low, high = design["severities"]
    swims = len(design["faults"]) * design["runs_per_fault"]
    blocks = (
        (
            "Detectors, fault by fault. `AUC`: the `clips` whose severity is about half of gross against the clean "
            "ones; `>=.35`: clips of at least that; `all`: all clips. `50%`, `95%`: the severity found so often. "
            "`alarms`: false alarms in 100 clean clips. `error`: mean absolute error of the severity.",
            detectors(card),
        ),
        ("Taken for what was not there (`none`: a clean swimmer):", taken_for(card)),
        (
            "Measures against the truth of every stroke; `from`, `to`: 95 % limits of agreement:",
            measures(card),
        ),
        ("Events in space:", events(card)),
    )
    parts = [
        "# The full scorecard",
        f"{MODEL_LINE} Made by `python gallery/full_scorecard.py`; do not edit by hand. Back to the "
        "[gallery](README.md).",
        f"Design `{design['name']}`, seed {card['seed']}, on which no limit was set: {design['swimmers']} clean "
        f"swimmers, {design['runs_per_fault']} clips of each fault with severities from {low:g} to {high:g}; "
        f"{len(card['refused'])} of {swims} could not be swum. Most cells rest on few clips: the intervals stand in "
        "`scorecard.json`. The camera's losses are settings of ours: a real one may lose more.",
        "\n".join(summary(card)),
        *(f"{says}\n\n```\n" + "\n".join(lines) + "\n```" for says, lines in blocks),
    ]
    return "\n\n".join(parts) + "\n"


def main(argv: list[str] | None = None) -> None:
    """Run the design (or go on with one that was begun in `--run`), write the page and print the summary."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--design", default="full")
    parser.add_argument("--run", type=Path, help="folder of the run, kept; else a temporary one")
    parser.add_argument("--page", type=Path, default=HERE / "full_scorecard.md")
    args = parser.parse_args(argv)
    with tempfile.TemporaryDirectory() as folder:
        scored = swimsim.validate(args.design, args.run or f"{folder}/card")
        card = json.loads((scored.folder / "scorecard.json").read_text(encoding="utf-8"))
    args.page.write_text(page(card), encoding="utf-8")
    print("\n".join(summary(card)))


if __name__ == "__main__":
    main()
