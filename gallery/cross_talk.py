"""What else moves when one fault is set: every fault against every measure, written to gallery/cross_talk.md."""

import argparse
import sys
from pathlib import Path

import numpy as np

import swimsim
from swimsim.faults.catalogue import faults
from swimsim.ground.conventions import MODEL_LINE
from swimsim.validation.cross_talk import cross_talk, greatest_outside, matrix_text

SEVERITY, PRESET = 0.7, "pace400_man"
#: What a fault that does not own a measure may move it by; an index by as much as 0.5 degree of its pair is.
BOUNDS = {"deg": 0.5, "cm": 0.5, "%": 0.2, "m": 0.005, "1": 0.02}
INDEX_BOUND = 2.0
HEAD = f"""# Faults against measures

{MODEL_LINE} Made by `python gallery/cross_talk.py`; do not edit by hand. Back to the [gallery](README.md).

Each column is one fault at severity {SEVERITY:g}, alone, both sides, side effects off, on the 400-m pace man; a fault
of the breath on the same man when he breathes to the left. Each cell is the change of the exact value, the greater of
both sides. A star marks what the fault owns; everything else stays below 0.5 degree, 5 mm and 0.2 % of the cycle, a
symmetry index below 2 %. `new`: the value is there only with or only without the fault. A dot: no change.

"""


def changes() -> list:
    """Every change of every measure with every fault."""
    found = []
    for slug, fault in faults().items():
        breath = fault.row.get("needs") == "breath"
        keys = {
            "stroke": {"preset": PRESET},
            "swimmer": {"sex": "man", "stature_m": 1.80},
            "breathing": {"side": "left", "every": 2} if breath else {"side": "none"},
            "fault": [{"fault": slug, "severity": SEVERITY}],
        }
        played = swimsim.play(swimsim.read_scenario(keys))
        truths = (played.correct.truth.measures, {slug: played.fault.truth.measures})
        found += cross_talk(*truths, owns={slug: fault.owns})
    return found


def too_far(found: list) -> list[str]:
    """What a fault moves by more than it may."""
    return [
        f"{c.fault} moves {c.measure} by {c.change:.3g} {c.unit}"
        for c in found
        if not c.owned and np.isfinite(c.change) and c.change > _bound(c)
    ]


def _bound(change) -> float:
    return INDEX_BOUND if change.measure.startswith("symmetry_index") else BOUNDS.get(change.unit, 1e-6)


def main(argv: list[str] | None = None) -> None:
    """Write the page and say the greatest change outside what a fault owns; ends with 1 if one is too large."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--page", type=Path, default=Path(__file__).parent / "cross_talk.md")
    args = parser.parse_args(argv)
    found = changes()
    args.page.write_text(f"{HEAD}```\n{matrix_text(found)}\n```\n", encoding="utf-8")
    worst = greatest_outside(found).values()
    for unit in ("deg", "cm", "%"):
        most = max((c for c in worst if c.unit == unit), key=lambda c: c.change)
        print(f"greatest outside, {unit}: {most.change:.3f} ({most.fault} on {most.measure})")
    if wrong := too_far(found):
        print(*wrong, sep="\n")
        sys.exit(1)


if __name__ == "__main__":
    main()
