"""Contact sheets of every preset and fault: 12 instants of the left arm's cycle, side, front, below, above."""

import argparse
import dataclasses
from pathlib import Path

from PIL import Image, PngImagePlugin

import swimsim
from swimsim.ground.records import Marks
from swimsim.teaching.marks import marks_of
from swimsim.view.sheet import SheetOptions, contact_sheet

FAULTS = [fault["name"] for fault in swimsim.listing("faults")]
PRESETS = {preset["name"]: preset["says"] for preset in swimsim.listing("presets")}
PHASES = {"entry": "catch", "exit": "recovery"}  # a phase that begins with this event


def sheet(path: Path, scenario: dict, *, title: str, width: int) -> None:
    """One sheet of the swimmer with the scenario's fault (or without any), from the left hand's entry on."""
    played = swimsim.play(swimsim.read_scenario(scenario))
    swum, marks = played.fault, marks_of(played)[0]
    start = next(e.time_s for e in swum.truth.events if e.event == "entry" and e.side == "left")
    shares = [i / 12 for i in range(12)]
    begun = [[name for name, begins in marks.ticks if begins <= share + 1e-9][-1] for share in shares]
    labels = [
        f"{100 * share:.0f} % {PHASES.get(name, name)}" for share, name in zip(shares, begun, strict=True)
    ]
    value = marks.value or f"index of coordination: {swum.truth.value('coordination_index'):.1f} %"
    shown = dataclasses.replace(marks, style="solid") if swum.faults else Marks()
    shown = dataclasses.replace(shown, title=f"{shown.title} {title}, {value}".strip())
    times = [start + share * swum.motion.cycle_s for share in shares]
    labels[0] = "0 % entry"
    contact_sheet(path, swum.trace, times, labels=labels, marks=shown, options=SheetOptions(width=width))
    with Image.open(path) as picture:
        note = PngImagePlugin.PngInfo()
        note.add_text("Description", picture.text["Description"])
        picture.quantize(72, kmeans=2, dither=Image.Dither.NONE).save(path, pnginfo=note, optimize=True)
    print(f"{path.name}: {value}")


def main(argv: list[str] | None = None) -> None:
    """Draw the sheets asked for; all of them without a name."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="presets or faults")
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "pictures")
    parser.add_argument("--width", type=int, default=1600)
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    for name in args.names or [*PRESETS, *FAULTS]:
        preset = name if name in PRESETS else "pace400_man"
        man = {"stroke": {"preset": preset}, "swimmer": {"sex": preset.split("_")[1]}}
        if name in PRESETS:
            sheet(args.out / f"sheet_{name}.png", man, title=PRESETS[name], width=args.width)
            continue
        for severity in (0.35, 0.7):
            fault = {**man, "fault": [{"fault": name, "severity": severity}]}
            path = args.out / f"sheet_{name}_{100 * severity:.0f}.png"
            sheet(path, fault, title=f"at {severity}", width=args.width)


if __name__ == "__main__":
    main()
