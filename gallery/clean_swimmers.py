"""Clean swimmers: how much every measure differs between them and between strokes, how near they come to faults."""

import argparse
from collections import Counter

import swimsim
from swimsim.validation.spread import spread, spread_text


def nearness(family) -> str:
    """Greatest effective severity of each fault over the family, and how many swimmers come nearest to it."""
    nearest = Counter(one.nearest_fault[0] for one in family)
    most: dict[str, float] = {}
    for one in family:
        for (slug, _, _), severity in one.severities.items():
            most[slug] = max(most.get(slug, 0.0), severity)
    lines = [f"{'fault':20} {'greatest severity':>18} {'nearest of':>11}"]
    return "\n".join(
        [*lines, *(f"{slug:20} {value:18.2f} {nearest[slug]:11d}" for slug, value in most.items())]
    )


def main(argv: list[str] | None = None) -> None:
    """Draw a family and print what it is like."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=0, help="of the family")
    parser.add_argument("--count", type=int, default=100, help="how many swimmers (about a second each)")
    args = parser.parse_args(argv)
    family = list(swimsim.clean_swimmers(args.seed, args.count))
    print(spread_text(spread(one.swum.truth.measures for one in family)))
    print()
    print(nearness(family))
    thrown = Counter(line.split(":")[0] for one in family for line in one.redrawn)
    said = ", ".join(f"{count} {why}" for why, count in thrown.items()) or "none"
    print(f"\n{args.count} swimmers; thrown away on the way: {said}")


if __name__ == "__main__":
    main()
