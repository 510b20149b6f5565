"""The water held against numbers from outside the project: value, band, inside or not, source.

`python -m swimsim.scenario.outside_checks` prints the table. Nothing here is tuned to: one number, the unsteady gain,
is set on the first swimmer of the calibration, and every other row is what follows.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..ground.conventions import JOINT_INDEX
from ..ground.tables import read_csv, read_toml
from ..motion.kinematics import Motion
from ..motion.solve import solve
from ..water.buoyancy import buoyancy, centre_of_mass, centre_of_volume
from ..water.coefficients import coefficients
from ..water.drag import drag_factor, drag_force
from ..water.effort import at_power
from ..water.float_parts import float_parts
from ..water.float_posture import straight_body
from ..water.floating_surge import surge_of_float
from ..water.hand_push import hand_push
from ..water.power import Power, balance, paddle_wheel_efficiency
from ..water.surge import Surge, prepare, settle
from .in_water import calibration, motion_path, stroke_in_water, swimmer
from .outside import Outside, table_text

MAN_M, WOMAN_M = 1.80, 1.68
ARM = ("elbow", "wrist", "knuckles", "fingertip", "thumb_tip")


def outside_checks() -> list[Outside]:
    """Every check of the whole model; those of single formulas are in `formula_checks`."""
    return [*_speeds(), *_drag(), *_efficiencies(), *_hands(), *_directions(), *_buoyancy(), *_numerics()]


def _speeds() -> Iterator[Outside]:
    """Published pairs of rate and speed; none but the first sets anything."""
    gain, checks = calibration()
    low, high = read_toml("water")["gain"]["expected"]
    yield Outside(
        "unsteady gain that gives the first speed",
        "1",
        gain,
        low,
        high,
        "what unsteady flow explains",
        "practice",
    )
    rows = read_toml("water_swimmers")["swimmer"]
    for row, found in zip(rows, checks, strict=True):
        spread = found.published_sd_m_s or 0.1 * found.published_m_s
        name = f"speed at {row['rate_per_min']:g} cycles/min, {found.name}"
        name += " (sets the gain)" if row.get("sets_the_gain") else ""
        ends = found.published_m_s - spread, found.published_m_s + spread
        yield Outside(name, "m/s", found.model_m_s, *ends, row["source"], row["flag"])


def _drag() -> Iterator[Outside]:
    man, woman = (
        swimmer(f"pace400_{sex}", stature_m=m)[1] for sex, m in (("man", MAN_M), ("woman", WOMAN_M))
    )
    push_off = "Toussaint et al. 1988, J Biomech 21:435-438"
    yield Outside(
        "drag of a man at 1.5 m/s", "N", float(drag_force(1.5, k=drag_factor(man))), 55, 82, push_off
    )
    yield Outside(
        "drag of a woman at 1.5 m/s", "N", float(drag_force(1.5, k=drag_factor(woman))), 44, 59, push_off
    )
    morais = "Morais et al. 2023, J Hum Kinet 86:41-49"
    youth = swimmer("sprint_man", stature_m=1.77)[1]
    yield Outside(
        "thrust of youths at 1.54 m/s", "N", float(drag_force(1.54, k=drag_factor(youth))), 56.4, 81.2, morais
    )
    gatta = "Gatta et al. 2016, PLoS ONE 11(9):e0162387"
    power = float(drag_force(2.20, k=drag_factor(man)) * 2.20)
    yield Outside("power against drag at 2.20 m/s, elite men", "W", power, 343, 457, gatta)


def _efficiencies() -> Iterator[Outside]:
    surge, power = _swum("pace400_man")
    _, sprint = _swum("sprint_man")
    speed = float(surge.mean_speed_m_s[0])
    arms = float(power.arm_efficiency[0])
    yield Outside(
        "efficiency of the arms, power",
        "1",
        arms,
        0.46,
        0.77,
        "Toussaint et al. 1988, J Appl Physiol 65:2506-2512",
    )
    wheel = float(paddle_wheel_efficiency(speed, surge.rate_hz[0], reach_m=0.55))
    yield Outside(
        "efficiency of the arms, paddle wheel", "1", wheel, 0.2, 0.5, "Zamparo et al. 2005", "memory"
    )
    kick = float(power.leg_thrust_n[0]) * speed
    kick = kick / (kick + float(power.legs_w[0]))
    yield Outside(
        "efficiency of the kick",
        "1",
        kick,
        0.5,
        0.7,
        "Zamparo et al. 2002, J Exp Biol 205:2665-2676 (bending wave)",
    )
    arm_share = "Morouco et al. 2015 (0.70, tethered); Bilinauskaite et al. 2013 (0.85 to 0.90)"
    yield Outside(
        "share of the arms in the thrust of a sprint", "1", float(sprint.arm_share[0]), 0.70, 0.90, arm_share
    )
    same, _ = at_power(surge.equation.stroke, coefficients(drag_factor=0.9), power.total_w)
    gain = float(same.mean_speed_m_s[0] / speed)
    yield Outside(
        "speed with a tenth less drag at the same power", "1", gain, 1.0, 1.0358, "cube root law", "derived"
    )


def _hands() -> Iterator[Outside]:
    """Mean forward force of one hand in three parts of the pull: to its deepest point, to the shoulder, to the exit."""
    motion = _motion("sprint_man")
    surge = settle(stroke_in_water(motion), coefficients(), motion.pattern.stroke_rate_hz)
    hand = hand_push(surge, "right")
    arm, thrust = motion.pattern.right, hand.force_n[:, 0, 0]
    start = arm.entry_catch_share
    middle, end = start + arm.pull_share, start + arm.pull_share + arm.push_share
    deepest = float(hand.share[np.argmin(hand.at_m[:, 2])])
    parts = {"downsweep": (start, deepest), "insweep": (deepest, middle), "upsweep": (middle, end)}
    rows = {row["quantity"]: row for row in read_csv("water_hand_forces")}
    for part, (first, last) in parts.items():
        row = rows[f"mean hand propulsive force {part}"]
        within = (hand.share >= first) & (hand.share < last)
        ends = (float(row["mean"]) - 2 * float(row["sd"]), float(row["mean"]) + 2 * float(row["sd"]))
        source = "4 sprinters, Int Soc Biomech Sports conf. proc. 31 (2013)"
        yield Outside(
            f"forward force of a sprinter's hand, {part}", "N", float(thrust[within].mean()), *ends, source
        )
    peak = float(hand.peak_n[0])
    yield Outside("greatest force on a sprinter's hand", "N", peak, 60, 150, "trained adults", "memory")


def _directions() -> Iterator[Outside]:
    """Signs that are published; the value is the change."""
    clean, _ = _swum("pace400_man")
    speed = float(clean.mean_speed_m_s[0])
    still = float(_swum("pace400_man", kick=0)[0].mean_speed_m_s[0])
    homoto = "Homoto et al. 2024: faster at the same rate"
    yield Outside("six-beat kick against none, same rate", "m/s", speed - still, 0.0, 0.3, homoto)
    sprint, arms = (float(_swum("sprint_man", kick=k)[0].mean_speed_m_s[0]) for k in (None, 0))
    deschodt = "Deschodt et al. 1999: a tenth of the speed of a 25 m sprint comes from the legs"
    yield Outside(
        "sprint with its kick over without, same rate", "1", sprint / arms, 1.0, 1 / 0.9, deschodt, "memory"
    )
    breath = float(_swum("pace400_man", breathing=("left", 2))[0].mean_speed_m_s[0])
    yield Outside("breathing against not", "m/s", breath - speed, -0.05, 0.0, "a little slower", "practice")
    masters, _ = _swum("masters_man")
    more = 100 * float(masters.ripple[0] - clean.ripple[0])
    schnitzler = "Schnitzler et al. 2010: recreational swimmers vary more"
    yield Outside("speed ripple, masters less 400-m pace", "% of the mean", more, 0.0, 20.0, schnitzler)


def _buoyancy() -> Iterator[Outside]:
    source = "McLean, Hinrichs 1998, J Sports Sci 16:373-383"
    for sex, low, high in (("man", 0.36, 1.22), ("woman", -0.18, 0.50)):
        body = swimmer(f"pace400_{sex}")[1]
        straight, parts = straight_body(body), float_parts(body)
        apart = centre_of_volume(parts, straight)[0, 0] - centre_of_mass(parts, straight)[0, 0]
        yield Outside(
            f"centre of buoyancy ahead of that of mass, {sex}", "cm", 100 * float(apart), low, high, source
        )
    man = swimmer("pace400_man")[1]
    parts, lying = float_parts(man), straight_body(man, depth_m=0.15)
    lifted = lying.copy()
    lifted[0, [JOINT_INDEX[f"left_{name}"] for name in ARM], 2] += 0.40
    sinks, raises = (float(buoyancy(parts, joints).torque_nm[0]) for joints in (lying, lifted))
    glide = "McLean, Hinrichs 1998 with the weight of this man: sinks the legs (positive)"
    yield Outside("buoyant torque in a covered glide, arms ahead", "N m", sinks, 2.6, 9.0, glide)
    turned = "Yanai 2001, J Biomech 34:235-243: an arm over the water turns it round (negative)"
    yield Outside("the same with one arm lifted over the water", "N m", raises, -40.0, 0.0, turned)
    motion = _motion("pace400_man")
    torque = buoyancy(float_parts(motion.body), motion_path(motion).joints_m).torque_nm.mean()
    yanai = "Yanai 2001, J Biomech 34:235-243: lifts the legs (negative)"
    yield Outside("mean buoyant torque while swimming", "N m", float(torque), -40.0, 0.0, yanai)


def _numerics() -> Iterator[Outside]:
    """How well it closes and converges; the bands are ours."""
    motion = _motion("pace400_man")
    usual, rate = coefficients(), motion.pattern.stroke_rate_hz
    surge = settle(stroke_in_water(motion), usual, rate)
    speed, closed = float(surge.mean_speed_m_s[0]), balance(surge)
    own = "choice of ours"
    yield Outside(
        "momentum missing over the period",
        "share of drag",
        float(abs(closed.momentum_gap[0])),
        0,
        3e-4,
        own,
        "practice",
    )
    yield Outside(
        "energy missing over the period",
        "share of power",
        float(abs(closed.energy_gap[0])),
        0,
        3e-4,
        own,
        "practice",
    )
    yield Outside(
        "speed at the end of the period less that at its start",
        "m/s",
        float(abs(surge.closure_m_s[0])),
        0,
        1e-6,
        own,
        "practice",
    )
    jointed = surge_of_float(surge.equation.stroke, usual).speed_m_s.mean()
    yield Outside(
        "speed of the jointed bodies, same forces, less that of the surge",
        "m/s",
        float(abs(jointed - speed)),
        0,
        1e-3,
        own,
        "practice",
    )
    fine = settle(prepare(motion_path(motion, steps_per_cycle=480)), usual, rate).mean_speed_m_s[0]
    yield Outside(
        "speed with half the time step", "m/s changed", float(abs(fine - speed)), 0, 1e-4, own, "practice"
    )
    strips = settle(prepare(motion_path(motion), strips=24), usual, rate).mean_speed_m_s[0]
    yield Outside(
        "speed with three times the strips",
        "m/s changed",
        float(abs(strips - speed)),
        0,
        1e-2,
        own,
        "practice",
    )


def _motion(preset: str, *, kick: int | None = None, breathing: tuple[str, int] = ("none", 0)) -> Motion:
    import dataclasses

    pattern, body = swimmer(preset, breathing=breathing)
    return solve(pattern if kick is None else dataclasses.replace(pattern, kick_beats=kick), body)


def _swum(preset: str, **how) -> tuple[Surge, Power]:
    motion = _motion(preset, **how)
    surge = settle(stroke_in_water(motion), coefficients(), _motion(preset).pattern.stroke_rate_hz)
    return surge, balance(surge)


def main() -> None:
    """Print both tables: the whole model, then single formulas."""
    from .formula_checks import DIGITS as FORMULA_DIGITS
    from .formula_checks import formula_checks

    print(table_text(outside_checks()), table_text(formula_checks(), digits=FORMULA_DIGITS), sep="\n\n")


if __name__ == "__main__":
    main()
