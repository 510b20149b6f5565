"""The water: what every fault costs, where the push goes, and the model held against numbers from outside."""

import argparse
from pathlib import Path

import swimsim
from swimsim.scenario.outside_checks import outside_checks, table_text
from swimsim.scenario.read import read_scenario
from swimsim.teaching.cost_picture import write_cost_picture
from swimsim.teaching.marks import marks_of
from swimsim.view.clip import ClipOptions, write_clip
from swimsim.view.few_colours import few_colours_gif
from swimsim.view.look import Look

WIDTH, FPS, COLOURS = 800, 8, 32
MAN = {"swimmer": {"sex": "man", "stature_m": 1.80}}


def push(folder: Path, width: int) -> None:
    """One cycle of an early exit with the arrow of the push, at half speed."""
    keys = {**MAN, "fault": [{"fault": "early_exit", "severity": 0.7}], "output": {"forces": True}}
    played = swimsim.play(read_scenario(keys))
    panels = [
        (swum.trace, marks)
        for swum, marks in zip((played.fault, played.correct), marks_of(played), strict=True)
    ]
    look = Look(views=("side_left",), size=(width, round(width * 0.32) * 2))
    seconds = played.fault.motion.cycle_s
    options = ClipOptions(look=look, fps=FPS, slow=0.5, seconds=seconds, end_card=False)
    path = folder / "push_early_exit.gif"
    write_clip(path, panels, options=options)
    few_colours_gif(path, COLOURS)


def main(argv: list[str] | None = None) -> None:
    """Draw `cost.png` and `push_early_exit.gif`, and print the checks."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "pictures")
    parser.add_argument("--draws", type=int, default=500)
    parser.add_argument("--width", type=int, default=WIDTH)
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    print(table_text(outside_checks()))
    push(args.out, args.width)
    costed = swimsim.cost(MAN, severity=0.7, draws=args.draws)
    title = "What it costs at severity 0.7: man, 1.80 m, 41 cycles/min"
    write_cost_picture(costed.prices, args.out / "cost.png", title=title, draws=args.draws)
    print("\n".join(costed.sentences))


if __name__ == "__main__":
    main()
