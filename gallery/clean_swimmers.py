"""How clean swimmers differ, and how near they come to faults; written to gallery/clean_swimmers.md."""

import argparse
from collections import Counter
from pathlib import Path

import swimsim
from swimsim.ground.conventions import MODEL_LINE
from swimsim.validation.spread import spread, spread_text

HEAD = f"""# Clean swimmers

{MODEL_LINE} Made by `python gallery/clean_swimmers.py`; do not edit by hand. Back to the [gallery](README.md).

How much every measure differs between clean swimmers (both sides together), from least to most, and in the mean
swimmer from stroke to stroke (`strokes`, a standard deviation). Angles of the kick's timing go round a circle, so
their mean says little. The distribution and its sources: `shared/clean_swimmers.toml`.
"""
NEAR = """
How near they come to each fault: the greatest effective severity of any of them on any side (a draw with 0.25 or
more is thrown away), and how many swimmers come nearest to this fault.
"""


def nearness(family) -> str:
    """Greatest effective severity of each fault over the family, and how many swimmers come nearest to it."""
    nearest = Counter(one.nearest_fault[0] for one in family)
    most: dict[str, float] = {}
    for one in family:
        for (slug, _, _), severity in one.severities.items():
            most[slug] = max(most.get(slug, 0.0), severity)
    lines = [f"{'fault':20} {'greatest severity':>18} {'nearest of':>11}"]
    return "\n".join(
        [*lines, *(f"{slug:20} {value:18.3f} {nearest[slug]:11d}" for slug, value in most.items())]
    )


def summary(family) -> str:
    """How many there are, and why draws were thrown away on the way."""
    thrown = Counter(line.split(":")[0] for one in family for line in one.redrawn)
    said = ", ".join(f"{count} {why}" for why, count in thrown.items()) or "none"
    return f"{len(family)} swimmers; thrown away on the way: {said}"


def main(argv: list[str] | None = None) -> None:
    """Draw a family, write the page and say how many there are."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=0, help="of the family")
    parser.add_argument("--count", type=int, default=60, help="how many swimmers (two seconds each)")
    parser.add_argument("--page", type=Path, default=Path(__file__).parent / "clean_swimmers.md")
    args = parser.parse_args(argv)
    family = list(swimsim.clean_swimmers(args.seed, args.count))
    table = spread_text(spread(one.swum.truth.measures for one in family))
    parts = [
        HEAD,
        f"Family {args.seed}: {summary(family)}.",
        "",
        "```",
        table,
        "```",
        NEAR,
        "```",
        nearness(family),
    ]
    args.page.write_text("\n".join([*parts, "```", ""]), encoding="utf-8")
    print(summary(family))


if __name__ == "__main__":
    main()
