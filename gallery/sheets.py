"""Contact sheets of presets, faults and drills: 12 instants of one cycle or period from four views.

A fault is swum as its shipped scenario says, or by the plain swimmer of `PLAIN` where there is none.
"""

import argparse
import dataclasses
import tomllib
from pathlib import Path

import swimsim
from swimsim.ground.records import Marks
from swimsim.stroke.drill import drill_named
from swimsim.teaching.marks import marks_of, shown_cycle, shown_side
from swimsim.view.few_colours import few_colours_png
from swimsim.view.sheet import SheetOptions, contact_sheet

FAULTS = [fault["name"] for fault in swimsim.listing("faults")]
PRESETS = {preset["name"]: preset["says"] for preset in swimsim.listing("presets")}
DRILLS = swimsim.drill_names()
PLAIN = {
    "stroke": {"preset": "pace400_man"},
    "swimmer": {"sex": "man"},
    "breathing": {"side": "left", "every": 2},
}
PHASES = {"entry": "catch", "exit": "recovery"}  # a phase that begins with this event
WIDTH, COLOURS, INSTANTS = 1600, 40, 12  # at this width a label is 15 px high and a swimmer 200 px long


def scenario_of(name: str, severity: float | None) -> dict:
    """The scenario of a preset or fault, with another severity of its fault if asked for."""
    if name in PRESETS:
        return {"stroke": {"preset": name}, "swimmer": {"sex": name.split("_")[1]}}
    found = {**PLAIN, "fault": [{"fault": name, "severity": 0.7}]}
    if name in {row["name"] for row in swimsim.listing("scenarios")}:
        found = tomllib.loads(swimsim.details("scenarios", name)["file"])
    if severity is not None:
        first = {k: v for k, v in found["fault"][0].items() if k not in ("amount", "unit", "word")}
        found["fault"][0] = {**first, "severity": severity}
    return found


def of_stroke(path: Path, scenario: dict, *, title: str, width: int) -> None:
    """The swimmer with the scenario's fault, or without any, from the entry of the shown arm on."""
    played = swimsim.play(swimsim.read_scenario(scenario))
    swum, marks, side = played.fault, marks_of(played)[0], shown_side(played)
    entries = {e.cycle: e.time_s for e in swum.truth.events if e.event == "entry" and e.side == side}
    shares = [i / INSTANTS for i in range(INSTANTS)]
    labels = [f"{100 * s:.0f} % {PHASES.get(_begun(marks.ticks, s), _begun(marks.ticks, s))}" for s in shares]
    labels[0] = "0 % entry"
    value = marks.value or f"index of coordination: {swum.truth.value('coordination_index'):.1f} %"
    if marks.band.startswith("inside"):
        value = f"{value}, {marks.band}"
    # a solid line: the sheet is to be looked at, not compared
    shown = dataclasses.replace(marks, style="solid") if swum.faults else Marks()
    shown = dataclasses.replace(shown, title=f"{shown.title}{title}, {value}")
    start = entries[shown_cycle(played, side)]
    times = [start + share * swum.motion.cycle_s for share in shares]
    contact_sheet(path, swum.trace, times, labels=labels, marks=shown, options=SheetOptions(width=width))
    few_colours_png(path, COLOURS)
    print(f"{path.name}: {value}")


def of_drill(path: Path, name: str, *, width: int) -> None:
    """One period of a drill."""
    from swimsim.scenario.drill import play_drill

    drill, trace = drill_named(name), play_drill(name, swimsim.read_scenario()).trace
    shares = [i / INSTANTS for i in range(INSTANTS)]
    labels = [f"{share * drill.period_s:.1f} s {_begun(drill.steps, share)}" for share in shares]
    title = f"{drill.title}, one period of {drill.period_s:g} s"
    marks = Marks("DRILL", title, "dotted", drill.limb, kit=drill.equipment)
    times = [share * drill.period_s for share in shares]
    contact_sheet(path, trace, times, labels=labels, marks=marks, options=SheetOptions(width=width))
    few_colours_png(path, COLOURS)
    print(f"{path.name}: {drill.period_s:g} s")


def _begun(ticks, share: float) -> str:
    """The step or phase under way at a share of the cycle; the last one where none has begun yet."""
    return ([name for name, begins in ticks if begins <= share + 1e-9] or [ticks[-1][0] if ticks else ""])[-1]


def main(argv: list[str] | None = None) -> None:
    """Draw the sheets asked for; all of them without a name."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="presets, faults or drills")
    parser.add_argument("--severity", type=float, help="of the fault, 0 to 1; else that of its scenario")
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "pictures")
    parser.add_argument("--width", type=int, default=WIDTH)
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    for name in args.names or [*PRESETS, *FAULTS, *DRILLS]:
        path = args.out / f"sheet_{name}.png"
        if name in DRILLS:
            of_drill(path, name, width=args.width)
        else:
            fault = "" if args.severity is None else f" at {args.severity:g}"
            title = PRESETS.get(name, fault)
            severity = None if name in PRESETS else args.severity
            of_stroke(path, scenario_of(name, severity), title=title, width=args.width)


if __name__ == "__main__":
    main()
