"""What one camera gives of a swimmer in four conditions, and how far the measures read from it lie from the truth."""

import argparse
import dataclasses
from pathlib import Path

import numpy as np

import swimsim
from swimsim.metrics import measure_seen
from swimsim.view.cameras import named_camera
from swimsim.view.conditions import Condition, condition_named
from swimsim.view.seeing import see
from swimsim.view.seen_chart import SeenPanel, draw_seen

CONDITIONS = {
    "square": "60 Hz, 2 px of noise",
    "pool deck": "30 Hz, 6 px, 8 degrees off, 1 in 10 lost",
    "good action camera": "120 Hz, port and lens measured",
    "bad day": "25 Hz, 15 degrees off, swaps, splash",
}
FULL_HD = (1920, 1080)
SHOWN_S, JOINT = 1.75, "left_fingertip"  # the left hand just after its entry
MEASURES = (
    ("side_left", "forearm_slope_at_45"), ("side_left", "elbow_at_30cm_depth"), ("side_left", "exit_past_hip"),
    ("side_left", "phase_entry_catch"), ("side_left", "trunk_slope"), ("front", "entry_line"), ("front", "pull_line"),
    ("front", "shoulder_roll_peak"), ("rear", "hip_roll_peak"), ("rear", "foot_gap"),
    ("above_front", "elbow_above_wrist"), ("above_front", "palm_out_at_entry"),
)  # fmt: skip


def panel(trace, camera, name: str) -> SeenPanel:
    """What is seen in one condition, beside the exact points of the camera that is believed in."""
    condition = condition_named(name)
    seen = see(trace, camera, condition, seed=4)
    instants = Condition(rate_hz=condition.rate_hz)
    exact = see(trace, seen.camera, instants, seed=4)
    frame = int(np.argmin(np.abs(seen.time_s - SHOWN_S)))
    return SeenPanel(name, CONDITIONS[name], seen, dataclasses.replace(exact, time_s=seen.time_s), frame)


def table(swum, seeds: int) -> str:
    """Bias and standard deviation of single measures, one column per condition."""
    truth = {(m.measure, m.side): m for m in swum.truth.measures if m.cycle is None and m.breathing is None}
    lines = [
        f"{'view':12} {'measure':20} {'truth':>7}" + "".join(f"{name:>20}" for name in CONDITIONS) + "  unit"
    ]
    for view, measure in MEASURES:
        side = None if (measure, None) in truth else "left"
        camera = named_camera(view, swum.body.stature_m, size_px=FULL_HD)
        cells = []
        for name in CONDITIONS:
            read = [
                measure_seen(see(swum.trace, camera, condition_named(name), seed=s)) for s in range(seeds)
            ]
            error = np.array([r.measure(measure, side).value for r in read]) - truth[measure, side].value
            error = error[np.isfinite(error)]
            spread = f" +- {error.std(ddof=1):.2f}" if len(error) > 1 else ""
            cells.append(f"{round(error.mean(), 2) + 0.0:.2f}{spread}" if len(error) else "not read")
        one = truth[measure, side]
        lines.append(
            f"{view:12} {measure:20} {one.value:7.2f}" + "".join(f"{c:>20}" for c in cells) + f"  {one.unit}"
        )
    return "\n".join(lines)


def main(argv: list[str] | None = None) -> None:
    """Draw the four conditions and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", default=str(Path(__file__).resolve().parent / "pictures"), help="folder")
    parser.add_argument("--seeds", type=int, default=5)
    args = parser.parse_args(argv)
    swum = swimsim.play(swimsim.read_scenario("open_water")).correct
    camera = named_camera("side_left", swum.body.stature_m, size_px=FULL_HD)
    draw_seen(
        [panel(swum.trace, camera, name) for name in CONDITIONS], Path(args.out) / "seeing.png", joint=JOINT,
        title="What one camera gives: exact (grey), given (points), lost (rings)",
    )  # fmt: skip
    print(table(swum, args.seeds))


if __name__ == "__main__":
    main()
