"""Index of coordination of the presets: equal arms give pull + push - 50, whichever rule ends the push."""

import argparse

import swimsim
from swimsim.stroke.presets import PRESETS


def main(argv: list[str] | None = None) -> None:
    """Print pull, push and the index under both rules."""
    argparse.ArgumentParser(description=__doc__).parse_args(argv)
    print(
        f"{'preset':14s} {'pull':>6s} {'push':>6s} {'P - 50':>7s} {'to exit':>8s} {'to last backward movement':>26s}"
    )
    for preset in PRESETS:
        scenario = {"stroke": {"preset": preset}, "swimmer": {"sex": preset.split("_")[1]}}
        truth = swimsim.play(swimsim.read_scenario(scenario)).correct.truth
        pull, push = (truth.value(f"phase_{name}", "right") for name in ("pull", "push"))
        index, early = truth.value("coordination_index"), truth.value("coordination_index_backward")
        print(f"{preset:14s} {pull:6.1f} {push:6.1f} {pull + push - 50:7.1f} {index:8.1f} {early:26.1f}")


if __name__ == "__main__":
    main()
