"""A short clip of one fault beside the same swimmer without it, and a still at the instant that shows it."""

import argparse
from pathlib import Path

import swimsim
from swimsim.teaching.marks import marks_of
from swimsim.view.clip import ClipOptions, still, write_clip
from swimsim.view.scene import Look


def main(argv: list[str] | None = None) -> None:
    """Write `NAME.gif` and `NAME.png` for a shipped scenario."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("name", nargs="?", default="open_water")
    parser.add_argument("--at", type=float, default=0.40, help="share of the cycle of the still")
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "pictures")
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    played = swimsim.play(swimsim.read_scenario(args.name))
    marks = marks_of(played)
    panels = [(played.fault.trace, marks[0]), (played.correct.trace, marks[1])]
    views = tuple(played.scenario.output.views)
    small = ClipOptions(look=Look(views=views, size=(800, 450)), fps=20, seconds=played.fault.motion.cycle_s)
    write_clip(args.out / f"{args.name}.gif", panels, options=small)
    start = next(
        e.time_s for e in played.fault.truth.events if e.event == "entry" and e.side == _side(played)
    )
    at = start + args.at * played.fault.motion.cycle_s
    still(args.out / f"{args.name}.png", panels, at_s=at, options=ClipOptions(look=Look(views=views)))
    print(f"{args.name}: {marks[0].value} against {marks[1].value}")


def _side(played) -> str:
    side = played.fault.faults[0].side if played.fault.faults else "right"
    return "right" if side == "both" else side


if __name__ == "__main__":
    main()
