"""How well the blind reader recovers a known swimmer: perfect frames and 5 mm of white noise, 25 and 60 Hz."""

import argparse

import swimsim
from swimsim.faults.catalogue import faults
from swimsim.validation.study import recovery_study

NOISE_M = (0.0, 0.005)
RATES = ("stroke_rate", "speed", "coordination_index")


def table(study, rates: list[float]) -> str:
    """Bias and standard deviation of the faults' main measures, one column per frame rate and noise."""
    keys = [(rate, noise) for rate in rates for noise in NOISE_M]
    wanted = [*RATES, *dict.fromkeys(fault.main_measure for fault in faults().values())]
    found = {(r.measure, r.side, r.rate_hz, r.noise_m): r for r in study.rows}
    heads = "".join(f"{f'{rate:g} Hz, {1000 * noise:g} mm':>16}" for rate, noise in keys)
    lines = [f"{'measure':20} {'side':5} {'truth':>7}{heads}  unit"]
    for measure, side in dict.fromkeys((r.measure, r.side) for r in study.rows if r.measure in wanted):
        rows = [found[measure, side, *key] for key in keys]
        cells = [f"{round(r.bias, 2) + 0.0:.2f}" + (f" +- {r.sd:.2f}" if r.sd == r.sd else "") for r in rows]
        numbers = "".join(f"{cell:>16}" for cell in cells)
        lines.append(f"{measure:20} {side or '':5} {rows[0].truth:7.2f}{numbers}  {rows[0].unit}")
    return "\n".join(lines)


def main(argv: list[str] | None = None) -> None:
    """Print the study of one shipped scenario's swimmer with the fault."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("name", nargs="?", default="open_water")
    parser.add_argument("--seeds", type=int, default=5)
    parser.add_argument("--rates", type=float, nargs="+", default=[25, 60])
    parser.add_argument("--all", action="store_true", help="every measure, the events, filter and rules")
    args = parser.parse_args(argv)
    swum = swimsim.play(swimsim.read_scenario(args.name)).fault
    length = 7 * swum.motion.cycle_s
    study = recovery_study(
        lambda rate: swum.motion.trace(rate, length), swum.truth.measures, events=swum.truth.events,
        rates=tuple(args.rates), noise_m=NOISE_M, seeds=tuple(range(args.seeds)),
    )  # fmt: skip
    print(study.text() if args.all else table(study, args.rates))


if __name__ == "__main__":
    main()
