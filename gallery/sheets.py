"""Contact sheets of every preset and fault: 12 instants of the right arm's cycle, side, front, below, above."""

import argparse
from pathlib import Path

import swimsim
from swimsim.faults.catalogue import faults
from swimsim.stroke.presets import PRESETS
from swimsim.view.sheet import SheetOptions, contact_sheet

SEVERITIES = (0.35, 0.7)


def sheet(path: Path, scenario: dict, width: int) -> None:
    """One sheet of the swimmer with the scenario's fault (or without any)."""
    swum = swimsim.play(swimsim.read_scenario(scenario)).fault
    times = [swum.motion.cycle_s * (1 + i / 12) for i in range(12)]
    labels = [f"{100 * i / 12:.0f} %" for i in range(12)]
    contact_sheet(path, swum.trace, times, labels=labels, options=SheetOptions(width=width))
    shown = {m.measure: m for m in swum.truth.measures if m.cycle is None and m.side != "left"}
    main = scenario["fault"][0]["fault"] if "fault" in scenario else None
    measure = shown[faults()[main].main_measure if main else "coordination_index"]
    print(f"{path.name}: {measure.measure} {measure.value:.1f} {measure.unit}")


def main(argv: list[str] | None = None) -> None:
    """Draw the sheets asked for; all of them without a name."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="presets or faults")
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "pictures")
    parser.add_argument("--width", type=int, default=1600)
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    for preset in PRESETS:
        if preset in args.names or not args.names:
            stroke = {"stroke": {"preset": preset}, "swimmer": {"sex": preset.split("_")[1]}}
            sheet(args.out / f"sheet_{preset}.png", stroke, args.width)
    for slug in faults():
        for severity in SEVERITIES if slug in args.names or not args.names else ():
            fault = {"fault": [{"fault": slug, "severity": severity}], "stroke": {"preset": "pace400_man"}}
            path = args.out / f"sheet_{slug}_{100 * severity:.0f}.png"
            sheet(path, {**fault, "swimmer": {"sex": "man"}}, args.width)


if __name__ == "__main__":
    main()
