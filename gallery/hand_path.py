"""The path of the left hand from the side, the front and below, with a fault and without it."""

import argparse
from pathlib import Path

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np

import swimsim
from swimsim.faults.catalogue import fault_named

VIEWS = (("side, left", 0, 2), ("front", 1, 2), ("below", 0, 1))
NAMES = ("ahead of the mid-hip [m]", "to the swimmer's left [m]", "height [m]")


def main(argv: list[str] | None = None) -> None:
    """Draw `hand_path_NAME.png` for a fault at severity 0.7 and print its main measure in both strokes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("fault", nargs="?", default="early_exit")
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "pictures")
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    fault = fault_named(args.fault)
    played = swimsim.play(swimsim.read_scenario({"fault": [{"fault": args.fault, "severity": 0.7}]}))
    # The figure is as wide as the three drawings on one scale.
    figure, axes = plt.subplots(1, 3, figsize=(13, 4.4), layout="constrained", width_ratios=(3, 1.5, 3))
    for swum, name, style, colour in (
        (played.fault, "FAULT", "--", "#D55E00"), (played.correct, "CORRECT", "-", "#0072B2"),
    ):  # fmt: skip
        share = np.linspace(0, 1, 400)
        arm = swum.motion.arms["left"]
        pelvis = swum.motion.frame.lines(arm.time(share)).pelvis
        path = arm.points(share).knuckles - np.stack([pelvis[0], 0 * share, 0 * share])
        value = f"{swum.truth.value(fault.main_measure, 'left'):.1f} {fault.unit}"
        for ax, (_, a, b) in zip(axes, VIEWS, strict=True):
            ax.plot(path[a], path[b], style, color=colour, lw=2.5, label=f"{name} {value}")
        print(f"{name}: {fault.main_measure} {value}")
    for ax, (view, a, b) in zip(axes, VIEWS, strict=True):
        low, high = ((-0.25, 1.25), (-0.15, 0.6), (-0.75, 0.45))[a], ((0, 0), (-0.15, 0.6), (-0.75, 0.45))[b]
        ax.set(title=view, xlabel=NAMES[a], ylabel=NAMES[b], aspect="equal", xlim=low, ylim=high)
        ax.axhline(0, color="#56B4E9" if b == 2 else "0.8", lw=1)
        if a == 0:
            ax.invert_xaxis()  # swimming to the left, as in the other pictures
    axes[0].legend(loc="lower right")
    figure.suptitle("Knuckles of the left hand against the body. Generated model, not a real person.")
    figure.savefig(args.out / f"hand_path_{args.fault}.png", dpi=100)
    plt.close(figure)


if __name__ == "__main__":
    main()
