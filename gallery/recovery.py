"""How well the blind reader recovers a known swimmer: perfect frames and 5 mm of white noise, 25 and 60 Hz."""

import argparse

import swimsim
from swimsim.validation.study import recovery_study


def main(argv: list[str] | None = None) -> None:
    """Print the study of one shipped scenario's swimmer with the fault."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("name", nargs="?", default="open_water")
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--rates", type=float, nargs="+", default=[25, 60])
    args = parser.parse_args(argv)
    swum = swimsim.play(swimsim.read_scenario(args.name)).fault
    length = 7 * swum.motion.cycle_s
    study = recovery_study(
        lambda rate: swum.motion.trace(rate, length),
        swum.truth.measures,
        events=swum.truth.events,
        rates=tuple(args.rates),
        noise_m=(0.0, 0.005),
        seeds=tuple(range(args.seeds)),
    )
    print(study.text())


if __name__ == "__main__":
    main()
