"""Hip roll over one cycle: clean, at the two-peak limit, and with a dip of 30 percent; the peaks are held."""

import argparse
from pathlib import Path

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np

from swimsim.stroke.rhythm import third_ratio, two_sided_shape

CASES = (("clean", 0.25, 0.0, "-"), ("two-peak limit", 1.0, 0.0, "--"), ("dip 30 %", 1.0, 0.30, ":"))


def main(argv: list[str] | None = None) -> None:
    """Draw `roll_shapes.png` and print a3/a1 and the dip of each curve."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "pictures")
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    x = np.linspace(0, 2 * np.pi, 721)
    peak = np.radians(26)
    figure, axes = plt.subplots(figsize=(8, 4), layout="constrained")
    for name, split, dip, style in CASES:
        roll = np.degrees(two_sided_shape(peak, peak, split=split, dip=dip)(x))
        axes.plot(100 * x / (2 * np.pi), roll, style, color="#0072B2", lw=2.5, label=name)
        middle = roll[len(x) // 4]
        print(f"{name}: a3/a1 {third_ratio(split, dip):.3f}, dip {100 * (1 - middle / roll.max()):.1f} %")
    axes.axhline(0, color="0.7", lw=1)
    axes.set(xlabel="share of the cycle [%]", ylabel="hip roll, left side up [deg]")
    axes.set_title("The same peak roll with one peak a side, and with two")
    axes.legend()
    figure.text(0.99, 0.01, "Generated model, not a real person.", ha="right", fontsize=8)
    figure.savefig(args.out / "roll_shapes.png", dpi=110)
    plt.close(figure)


if __name__ == "__main__":
    main()
