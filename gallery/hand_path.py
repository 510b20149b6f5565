"""The path of the right hand from the side, the front and below, with a fault and without it."""

import argparse
from pathlib import Path

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np

import swimsim
from swimsim.faults.catalogue import fault_named

VIEWS = (("side", 0, 2, "ahead [m]", "height [m]"), ("front", 1, 2, "to the left [m]", "height [m]"),
         ("below", 0, 1, "ahead [m]", "to the left [m]"))  # fmt: skip


def main(argv: list[str] | None = None) -> None:
    """Draw `hand_path_NAME.png` for a fault at severity 0.7 and print its main measure in both strokes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("fault", nargs="?", default="early_exit")
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "pictures")
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    played = swimsim.play(swimsim.read_scenario({"fault": [{"fault": args.fault, "severity": 0.7}]}))
    figure, axes = plt.subplots(1, 3, figsize=(13, 4.2), layout="constrained")
    for swum, name, style, colour in (
        (played.fault, "FAULT", "--", "#D55E00"), (played.correct, "CORRECT", "-", "#0072B2"),
    ):  # fmt: skip
        own = np.linspace(0, 1, 400)
        points = swum.motion.arms["right"].points(own)
        pelvis = swum.motion.frame.lines(swum.motion.arms["right"].time(own)).pelvis
        path = points.knuckles - np.stack([pelvis[0], 0 * own, 0 * own])
        for ax, (view, a, b, x, y) in zip(axes, VIEWS, strict=True):
            ax.plot(path[a], path[b], style, color=colour, lw=2.5, label=name)
            ax.set(title=view, xlabel=x, ylabel=y, aspect="equal")
        measure = fault_named(args.fault).main_measure
        print(f"{name}: {measure} {swum.truth.value(measure, 'right'):.1f} {fault_named(args.fault).unit}")
    axes[0].axhline(0, color="#56B4E9", lw=1)
    axes[1].axhline(0, color="#56B4E9", lw=1)
    axes[0].legend()
    figure.suptitle("Right hand against the body; x = 0 is the mid-hip. Generated model, not a real person.")
    figure.savefig(args.out / f"hand_path_{args.fault}.png", dpi=100)


if __name__ == "__main__":
    main()
