"""Small clips: a fault beside the same swimmer without it, a drill, or a preset by itself.

`NAME.gif` is the shipped scenario of a fault (or the plain swimmer of `PLAIN` with it) over one breathing period,
slowed down, or one period of a drill. GIF because it moves on a page: the same clip as MP4 is less than half as
large. A preset gives `NAME.mp4`: the swimmer without any fault from three views.
"""

import argparse
from pathlib import Path

import numpy as np

import swimsim
from swimsim.ground.records import Marks
from swimsim.stroke.drill import drill_named
from swimsim.teaching.marks import marks_of
from swimsim.view.clip import ClipOptions, write_clip
from swimsim.view.few_colours import few_colours_gif
from swimsim.view.look import Look
from swimsim.view.person import Person

FAULTS = [fault["name"] for fault in swimsim.listing("faults")]
PRESETS = [preset["name"] for preset in swimsim.listing("presets")]
DRILLS = swimsim.drill_names()
PLAIN = {
    "stroke": {"preset": "pace400_man"},
    "swimmer": {"sex": "man"},
    "breathing": {"side": "left", "every": 2},
}
WIDTH, WIDE, GIF_FPS, COLOURS = 480, 640, 8, 32  # of a GIF; the built-in swimmer and presets are wider
QUALITY = 28  # of the clip of a preset
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


def fault(name: str, folder: Path, width: int) -> None:
    """The clip of a shipped scenario, or of the plain swimmer with this fault, in its first view."""
    shipped = {row["name"] for row in swimsim.listing("scenarios")}
    source = name if name in shipped else {**PLAIN, "fault": [{"fault": name, "severity": 0.7}]}
    played = swimsim.play(swimsim.read_scenario(source))
    motion, marks = played.fault.motion, marks_of(played)
    panels = [(s.trace, m) for s, m in zip((played.fault, played.correct), marks, strict=True)]
    look = Look(views=tuple(played.scenario.output.views[:1]), size=size_of(width))
    slow = 0.5 if motion.period_cycles == 1 else 0.7
    moving(
        folder / f"{name}.gif", panels, look=look, slow=slow, seconds=motion.period_cycles * motion.cycle_s
    )
    print(f"{name}: {marks[0].value} against {marks[1].value}")


def drill(name: str, folder: Path, width: int) -> None:
    """One period of a drill as swum, in the view that shows it best."""
    from swimsim.scenario.drill import play_drill

    pattern, trace = drill_named(name), play_drill(name, swimsim.read_scenario()).trace
    phase = np.mod(trace.time_s / pattern.period_s + 1e-9, 1.0)
    marks = Marks(
        "DRILL",
        pattern.title,
        "dotted",
        pattern.limb,
        ticks=pattern.steps,
        phase=phase,
        kit=pattern.equipment,
    )
    look = Look(views=pattern.views[:1], size=size_of(width), layout="single")
    moving(folder / f"{name}.gif", [(trace, marks)], look=look, slow=1.0, seconds=pattern.period_s)
    print(f"{name}: one period of {pattern.period_s:g} s")


def moving(path: Path, panels: list, *, look: Look, slow: float, seconds: float) -> None:
    """A GIF of few colours."""
    options = ClipOptions(look=look, fps=GIF_FPS, slow=slow, seconds=seconds, end_card=False)
    write_clip(path, panels, options=options)
    few_colours_gif(path, COLOURS)


def preset(name: str, folder: Path, width: int) -> None:
    """The clip of a preset: side, front and below, half speed."""
    scenario = {"stroke": {"preset": name}, "swimmer": {"sex": name.split("_")[1]}}
    played = swimsim.play(swimsim.read_scenario(scenario))
    swum = played.fault
    look = Look(
        views=("side_left", "front", "below"), size=size_of(width), person=PERSONS[name], layout="single"
    )
    seconds = swum.motion.period_cycles * swum.motion.cycle_s
    options = ClipOptions(look=look, slow=0.5, seconds=seconds, end_card=False, crf=QUALITY)
    write_clip(folder / f"{name}.mp4", [(swum.trace, marks_of(played)[0])], options=options)
    print(f"{name}: {60 * swum.pattern.stroke_rate_hz:.1f} cycles a minute, half speed")


def main(argv: list[str] | None = None) -> None:
    """Draw the shipped scenarios, faults, drills and presets named; all faults, drills and presets without a name."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="shipped scenarios, faults, drills or presets")
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "pictures")
    parser.add_argument("--width", type=int)
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    for name in args.names or ["open_water", *FAULTS, *DRILLS, *PRESETS]:
        draw = preset if name in PRESETS else drill if name in DRILLS else fault
        draw(name, args.out, args.width or (WIDTH if name in (*FAULTS, *DRILLS) else WIDE))


if __name__ == "__main__":
    main()
