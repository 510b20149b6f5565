"""The water: what every fault costs, where the push goes, and the model held against numbers from outside."""

import argparse
from pathlib import Path

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np

import swimsim
from swimsim.motion.solve import solve
from swimsim.scenario.formula_checks import DIGITS, formula_checks
from swimsim.scenario.in_water import swimmer
from swimsim.scenario.outside import table_text
from swimsim.scenario.outside_checks import outside_checks
from swimsim.scenario.read import read_scenario
from swimsim.teaching.cost_picture import write_cost_picture
from swimsim.teaching.marks import marks_of
from swimsim.view.clip import ClipOptions, write_clip
from swimsim.view.few_colours import few_colours_gif
from swimsim.view.look import Look
from swimsim.water.arm_force import arm_forces
from swimsim.water.drag import drag_factor
from swimsim.water.floating_cycle import FloatSettings, float_cycle

WIDTH, FPS, COLOURS = 540, 8, 32  # one above the other, to be read on a phone
MAN = {"swimmer": {"sex": "man", "stature_m": 1.80}}


def push(folder: Path, width: int) -> None:
    """One cycle of an early exit with the arrow of the push, at half speed."""
    keys = {**MAN, "fault": [{"fault": "early_exit", "severity": 0.7}], "output": {"forces": True}}
    played = swimsim.play(read_scenario(keys))
    panels = [
        (swum.trace, marks)
        for swum, marks in zip((played.fault, played.correct), marks_of(played), strict=True)
    ]
    look = Look(views=("side_left",), size=(width, round(width * 1.1) * 2))
    seconds = played.fault.motion.cycle_s
    options = ClipOptions(look=look, fps=FPS, slow=0.5, seconds=seconds, end_card=False)
    path = folder / "push_early_exit.gif"
    write_clip(path, panels, options=options)
    few_colours_gif(path, COLOURS)


def floating(folder: Path) -> None:
    """Slope of the trunk and height of the hips over one cycle, as set and as the float has them."""
    figure, (upper, lower) = plt.subplots(2, 1, figsize=(5.2, 6.4), sharex=True, layout="constrained")
    for preset, colour in (("pace400_man", "#0072B2"), ("sprint_man", "#D55E00")):
        pattern, body = swimmer(preset)
        motion = solve(pattern, body)
        joints = motion.joints(np.arange(480) / 480 * motion.cycle_s)
        settings = FloatSettings(drag=(drag_factor(body), 2.0), arm_force=arm_forces(body))
        floats = float_cycle(
            joints, body, period_s=motion.cycle_s, speed_m_s=pattern.speed_m_s, settings=settings
        )
        share = 100 * floats.time_s / floats.period_s
        name = preset.replace("_", ", ")
        upper.plot(share, np.degrees(floats.slope_rad), color=colour, lw=2.5, label=f"{name}: float")
        upper.plot(share, np.degrees(floats.slope_of_trace_rad), "--", color=colour, label=f"{name}: as set")
        lower.plot(share, 100 * floats.height_m, color=colour, lw=2.5)
        lower.plot(share, 100 * floats.height_of_trace_m, "--", color=colour)
        swing = np.degrees(np.ptp(floats.slope_rad)), 100 * np.ptp(floats.height_m)
        print(f"float of {preset}: trunk slope {np.degrees(floats.slope_rad.mean()):.1f} deg in the mean where "
              f"{np.degrees(floats.slope_of_trace_rad.mean()):.1f} is set; within the stroke {swing[0]:.1f} deg and "
              f"{swing[1]:.1f} cm")  # fmt: skip
    upper.set(ylabel="trunk slope [deg]", ylim=(0, None))
    lower.set(
        ylabel="height of the hips [cm]",
        xlabel="share of the cycle [%]\n\nGenerated model, not a real person.",
    )
    figure.legend(*upper.get_legend_handles_labels(), loc="outside upper center", ncols=2, fontsize=9)
    upper.set_title("A floating swimmer bobs little within the\nstroke, and lies too steep", fontsize=11)
    figure.savefig(folder / "float.png", dpi=150)
    plt.close(figure)


def main(argv: list[str] | None = None) -> None:
    """Draw `cost.png`, `push_early_exit.gif` and `float.png`, and print the checks."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "pictures")
    parser.add_argument("--draws", type=int, default=500)
    parser.add_argument("--width", type=int, default=WIDTH)
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    print(table_text(outside_checks()), table_text(formula_checks(), digits=DIGITS), sep="\n\n")
    push(args.out, args.width)
    floating(args.out)
    costed = swimsim.cost(MAN, severity=0.7, draws=args.draws)
    title = "What it costs at severity 0.7: man, 1.80 m, 41 cycles/min"
    write_cost_picture(costed.prices, args.out / "cost.png", title=title, draws=args.draws)
    print("\n".join(costed.sentences))


if __name__ == "__main__":
    main()
