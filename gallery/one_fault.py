"""A short clip of one fault beside the same swimmer without it, and a still at the instant that shows it."""

import argparse
from pathlib import Path

import swimsim
from swimsim.teaching.marks import marks_of, shown_side
from swimsim.view.clip import ClipOptions, still, write_clip
from swimsim.view.scene import Look

# Share of the shown arm's cycle at which the fault is seen best.
INSTANTS = {
    "dropped_elbow": 0.36, "straight_arm_press": 0.34, "wide_entry": 0.02, "crossover": 0.02, "wide_pull": 0.45,
    "early_exit": 0.63, "palm_in_finish": 0.66, "flat_hips": 0.80, "shoulder_driven": 0.98, "double_bump": 0.80,
}  # fmt: skip


def picture(name: str, folder: Path) -> None:
    """Write `NAME.gif`, slow, one stroke of each kind, and `NAME.png`."""
    played = swimsim.play(swimsim.read_scenario(name))
    swum, marks = played.fault, marks_of(played)
    panels = [(swum.trace, marks[0]), (played.correct.trace, marks[1])]
    views = tuple(played.scenario.output.views)
    period = swum.motion.period_cycles
    small = ClipOptions(
        look=Look(views=views, size=(800, 450)), fps=15, slow=0.5 if period == 1 else 0.6,
        seconds=period * swum.motion.cycle_s, end_card=False,
    )  # fmt: skip
    write_clip(folder / f"{name}.gif", panels, options=small)
    side, setting = shown_side(played), swum.faults[0]
    breath = setting.strokes == "breathing"
    start = next(
        e.time_s for e in swum.truth.events
        if e.event == "entry" and e.side == side and (not breath or swum.pattern.breathes(side, e.cycle))
    )  # fmt: skip
    at = start + INSTANTS[setting.fault] * swum.motion.cycle_s
    still(folder / f"{name}.png", panels, at_s=at, options=ClipOptions(look=Look(views=views)))
    print(f"{name}: {marks[0].value} against {marks[1].value}")


def main(argv: list[str] | None = None) -> None:
    """Draw the shipped scenarios named; all with one fault and the built-in one without a name."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="shipped scenarios")
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "pictures")
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    for name in args.names or ["open_water", *INSTANTS]:
        picture(name, args.out)


if __name__ == "__main__":
    main()
