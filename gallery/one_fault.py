"""Clips of one fault beside the same swimmer without it, and a still at the instant that shows it.

`NAME.gif` is the shipped scenario at half speed, `NAME_35.mp4` the same fault at severity 0.35; both are one
breathing period long.
A preset gives one clip of the swimmer without any fault.
"""

import argparse
from dataclasses import replace
from pathlib import Path

from PIL import Image, PngImagePlugin

import swimsim
from swimsim.teaching.marks import marks_of, shown_side
from swimsim.view.clip import ClipOptions, still, write_clip
from swimsim.view.look import Look
from swimsim.view.person import Person

FAULTS = [fault["name"] for fault in swimsim.listing("faults")]
PRESETS = [preset["name"] for preset in swimsim.listing("presets")]
WIDTH = 640  # of a clip; a still is twice as wide
# Another person for each preset, so that the words of the figure are seen.
PERSONS = {
    "sprint_man": Person("brown", "yellow", "black"), "sprint_woman": Person("olive", "purple", "purple", "one_piece"),
    "pace400_man": Person(), "pace400_woman": Person("dark", "green", "green", "one_piece"),
    "masters_man": Person("light", "black", "navy", "shorts", "sturdy"),
    "masters_woman": Person("pale", "yellow", "navy", "one_piece", "sturdy"),
}  # fmt: skip


def size_of(width: int) -> tuple[int, int]:
    """Sixteen to nine, in even numbers of pixels."""
    return width, round(width * 9 / 32) * 2


def panels_of(played) -> list:
    """The two panels of a played scenario."""
    return [(s.trace, m) for s, m in zip((played.fault, played.correct), marks_of(played), strict=True)]


def moving(path: Path, played, *, look: Look, n_panels: int = 2) -> None:
    """One breathing period at half speed."""
    motion, gif = played.fault.motion, path.suffix == ".gif"
    options = ClipOptions(
        look=look, fps=10 if gif else 30, slow=0.5 if motion.period_cycles == 1 or not gif else 0.7,
        seconds=motion.period_cycles * motion.cycle_s, end_card=False, crf=22,
    )  # fmt: skip
    write_clip(path, panels_of(played)[:n_panels], options=options)


def key_still(path: Path, played, *, look: Look) -> None:
    """The pair at the instant that shows the fault, in few colours."""
    swum, side, (_, marks) = played.fault, shown_side(played), panels_of(played)[0]
    breath = swum.faults[0].strokes == "breathing"
    entries = [e for e in swum.truth.events if e.event == "entry" and e.side == side]
    start = next(e.time_s for e in entries if not breath or swum.pattern.breathes(side, e.cycle))
    at = start + (marks.key_share or 0.0) * swum.motion.cycle_s
    still(path, panels_of(played), at_s=at, options=ClipOptions(look=look))
    with Image.open(path) as picture:
        note = PngImagePlugin.PngInfo()
        note.add_text("Description", picture.text["Description"])
        picture.quantize(255, kmeans=2, dither=Image.Dither.NONE).save(path, pnginfo=note, optimize=True)


def fault(name: str, folder: Path, width: int) -> None:
    """Write the clips and the still of a shipped scenario with a fault."""
    played = swimsim.play(swimsim.read_scenario(name))
    look = Look(views=tuple(played.scenario.output.views[:1]), size=size_of(width))
    moving(folder / f"{name}.gif", played, look=look)
    key_still(folder / f"{name}.png", played, look=replace(look, size=size_of(2 * width)))
    marks = marks_of(played)
    print(f"{name}: {marks[0].value} against {marks[1].value}")
    if name in FAULTS:
        slight = {"stroke": {"preset": "pace400_man"}, "swimmer": {"sex": "man"},
                  "fault": [{"fault": name, "severity": 0.35}]}  # fmt: skip
        played = swimsim.play(swimsim.read_scenario(slight))
        moving(folder / f"{name}_35.mp4", played, look=look)
        print(f"{name} at 0.35: {marks_of(played)[0].value}")


def preset(name: str, folder: Path, width: int) -> None:
    """Write the clip of a preset: side, front and below, half speed."""
    played = swimsim.play(
        swimsim.read_scenario({"stroke": {"preset": name}, "swimmer": {"sex": name.split("_")[1]}})
    )
    look = Look(
        views=("side_left", "front", "below"), size=size_of(width), person=PERSONS[name], layout="single"
    )
    moving(folder / f"{name}.mp4", played, look=look, n_panels=1)
    print(f"{name}: {60 * played.fault.pattern.stroke_rate_hz:.1f} cycles a minute, half speed")


def main(argv: list[str] | None = None) -> None:
    """Draw the shipped scenarios, faults and presets named; all without a name."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="shipped scenarios or presets")
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "pictures")
    parser.add_argument("--width", type=int, default=WIDTH)
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    for name in args.names or ["open_water", *FAULTS, *PRESETS]:
        (preset if name in PRESETS else fault)(name, args.out, args.width)


if __name__ == "__main__":
    main()
