"""INVARIANT: one suite over all faults: data complete, amounts and words mean what they say, conflicts named.

Gross values: decided set-points of ours (COMMON PRACTICE), written out here by hand, not read from the code.
"""

import dataclasses
import itertools
import math

import numpy as np
import pytest
from made_swimmers import made
from tolerances import ALGEBRA, SOLVED

from swimsim.faults.apply import apply_faults
from swimsim.faults.catalogue import WORDS, FaultSetting, fault_named, faults, normal_value
from swimsim.ground.conventions import JOINTS, SIDES, other_side
from swimsim.ground.errors import InputError, UnreachableError
from swimsim.ground.tables import read_toml
from swimsim.ground.words import fault_words
from swimsim.scenario.read import read_scenario
from swimsim.view.cameras import VIEWS

ALL = sorted(faults())
DOOR = 100 * SOLVED  # degrees, centimetres and percent are about a hundredth of the SI unit

#: Gross value of the main measure: (number, unit); cm per half shoulder width where the unit is half widths.
GROSS = {
    "dropped_elbow": (25.0, "deg"),
    "straight_arm_press": (175.0, "deg"),
    "wide_entry": (1.5, "half widths"),  # 30 cm at a half width of 20 cm
    "crossover": (-1.75, "half widths"),  # 15 cm past the midline
    "wide_pull": (1.5, "half widths"),
    "early_exit": (-25.0, "cm"),
    "palm_in_finish": (85.0, "deg"),
    "low_elbow_recovery": (-10.0, "cm"),
    "thumb_first": (80.0, "deg"),
    "long_glide": (28.0, "%"),
    "flat_hips": (4.0, "deg"),
    "shoulder_driven": (25.0, "%"),
    "double_bump": (30.0, "%"),
    "over_rotation": (80.0, "deg"),
    "sinking_legs": (20.0, "deg"),
    "scissor_kick": (60.0, "cm"),
    "head_lift": (40.0, "deg"),
    "asymmetry": (40.0, "%"),
}
CONFLICTS = {  # pairs that set the same thing
    frozenset(("wide_entry", "crossover")),  # the hand line at entry
    frozenset(("dropped_elbow", "straight_arm_press")),  # the forearm in the catch
    frozenset(("straight_arm_press", "wide_pull")),  # the elbow at the shoulder plane
    frozenset(("straight_arm_press", "long_glide")),  # the depth of the hand
    frozenset(("early_exit", "long_glide")),  # the time for the push
    frozenset(("flat_hips", "shoulder_driven")),  # hip roll
    frozenset(("flat_hips", "over_rotation")),
    frozenset(("shoulder_driven", "over_rotation")),
    frozenset(("asymmetry", "over_rotation")),  # shoulder roll
}


BREATHING = {"head_lift": ("left", 2)}  # a fault of the breath needs a swimmer who breathes


def swimmer(preset, *slugs, faults=()):
    """A swimmer who can have these faults."""
    found = [BREATHING[slug] for slug in slugs if slug in BREATHING]
    return made(preset, breathing=found[0] if found else ("none", 0), faults=faults)


def gross_of(fault, body):
    number, unit = GROSS[fault]
    return number * body.shoulder_width_m / 2 * 100 if unit == "half widths" else number


def main_values(one, fault):
    """Values of a fault's main measure over the period: both sides, or the whole body."""
    rows = [m for m in one.truth.measures if m.cycle is None and m.breathing is None]
    values = [m.value for m in rows if m.measure == faults()[fault].main_measure]
    if fault == "asymmetry":
        return [abs(value) for value in values]  # its sign is the larger side
    if fault == "scissor_kick":
        return [max(values)]  # once in a cycle, on one side
    return [value for value in values if math.isfinite(value)]  # no breath to one side


def applied(one, *settings, **how):
    return apply_faults(one.pattern, list(settings), half_width_m=one.body.shoulder_width_m / 2, **how)


# ---- Every fault is complete


def test_the_catalogue_is_the_hand_list():
    assert set(faults()) == set(GROSS)


@pytest.mark.parametrize("slug", ALL)
def test_a_fault_has_words_source_view_limb_and_measures(slug):
    fault, known = fault_named(slug), read_toml("definitions")["measure"]
    assert len(fault.terms) >= 2 and all(term and term == term.strip() for term in fault.terms)
    assert fault.says.endswith(".") and len(fault.says.split()) >= 6
    assert len(fault.source) > 10
    assert any(view.startswith(fault.best_view) for view in VIEWS)
    assert all(any(joint in name for name in JOINTS) for joint in fault.limb) and fault.limb
    assert known[fault.main_measure]["unit"] == fault.unit
    assert fault.main_measure in fault.owns and fault.owns <= set(known)
    assert fault_words(slug).number


@pytest.mark.parametrize("slug", ALL)
def test_a_fault_has_a_scenario_of_its_own(slug):
    assert slug in {setting.fault for setting in read_scenario(slug).fault}


@pytest.mark.parametrize("slug", ALL)
def test_a_fault_changes_the_pattern_and_only_what_it_says(slug):
    one, said = swimmer("pace400_man", slug), set(fault_named(slug).sets())
    changed = applied(one, FaultSetting(slug, severity=0.7))
    assert changed != one.pattern
    moved = {
        name
        for part in ("left", "right", "roll", "body")
        for name, value in dataclasses.asdict(getattr(changed, part)).items()
        if value != getattr(getattr(one.pattern, part), name)
    }
    plain = {name.replace("_left_rad", "_rad").replace("_right_rad", "_rad") for name in moved}
    assert plain - {"breathing_hip_roll_rad"} <= said
    assert changed.left == changed.left_breathing and changed.right == changed.right_breathing
    rates = (changed.stroke_rate_hz, changed.speed_m_s, changed.arm_lag_share, changed.kick_beats)
    assert rates == (one.pattern.stroke_rate_hz, one.pattern.speed_m_s, 0.5, one.pattern.kick_beats)


@pytest.mark.parametrize(
    ("rate", "hip_roll"), [(27.6, 30.0), (41.4, 26.0), (47.7, 25.0), (54.0, 24.0), (60.0, 24.0)]
)
def test_normal_hip_roll_follows_the_stroke_rate(rate, hip_roll):
    """Between the presets the norm is interpolated by stroke rate (decided), beyond them it stays."""
    known = {"half_width_m": 0.2, "stature_m": 1.8, "strokes": "every"}
    assert normal_value(fault_named("flat_hips"), stroke_rate_hz=rate / 60, **known) == pytest.approx(
        hip_roll
    )


# ---- Severity, amount, word


@pytest.mark.parametrize("slug", ALL)
def test_gross_is_the_gross_value(slug):
    one = swimmer("pace400_man", slug)
    swum = swimmer("pace400_man", slug, faults=(FaultSetting(slug, severity=1.0),))
    assert main_values(swum, slug) == pytest.approx(
        [gross_of(slug, one.body)] * len(main_values(one, slug)), abs=DOOR
    )


@pytest.mark.parametrize("slug", ALL)
def test_an_amount_is_the_amount_swum(slug):
    one = swimmer("pace400_woman", slug)
    own, gross = main_values(one, slug)[0], gross_of(slug, one.body)
    amount = round(own + 0.6 * (gross - own), 1)
    setting = FaultSetting(slug, amount=amount, unit=fault_named(slug).unit)
    swum = swimmer("pace400_woman", slug, faults=(setting,))
    assert main_values(swum, slug) == pytest.approx([amount] * len(main_values(one, slug)), abs=DOOR)


def test_an_amount_in_metres_is_the_same_in_centimetres():
    one = made("pace400_man")
    in_metres = applied(one, FaultSetting("early_exit", amount=-0.12, unit="m"))
    assert in_metres == applied(one, FaultSetting("early_exit", amount=-12.0, unit="cm"))


@pytest.mark.parametrize("slug", ALL)
@pytest.mark.parametrize(("word", "severity"), [("slight", 0.35), ("clear", 0.6), ("gross", 0.9)])
def test_a_word_is_its_severity_side_effects_included(slug, word, severity):
    one = swimmer("pace400_man", slug)
    assert WORDS[word] == severity
    for effects in (False, True):
        by_word = applied(one, FaultSetting(slug, word=word), side_effects=effects)
        assert by_word == applied(one, FaultSetting(slug, severity=severity), side_effects=effects)


@pytest.mark.parametrize("slug", ALL)
@pytest.mark.parametrize("over", [1.2, -0.2])
def test_an_amount_out_of_reach_is_refused_with_the_range(slug, over):
    one = swimmer("pace400_man", slug)
    own, gross = main_values(one, slug)[0], gross_of(slug, one.body)
    amount = own + over * (gross - own)
    with pytest.raises(
        InputError, match=rf"fault {slug}: amount: expected between \S+ .* and .*gross.*, got"
    ):
        applied(one, FaultSetting(slug, amount=amount))


def test_side_effects_are_echoes_in_rate_trunk_and_roll():
    """Rate +5 to +10 % with an early exit, trunk steeper with a straight-arm press (common practice)."""
    one = made("pace400_man")
    early = applied(one, FaultSetting("early_exit", severity=1.0), side_effects=True)
    assert 1.05 <= early.stroke_rate_hz / one.pattern.stroke_rate_hz <= 1.10
    press = applied(one, FaultSetting("straight_arm_press", severity=1.0), side_effects=True)
    assert press.body.trunk_slope_rad > one.pattern.body.trunk_slope_rad + math.radians(3)


# ---- Breathing strokes only, sides


def test_a_breath_only_amount_is_the_difference_from_the_other_strokes():
    setting = FaultSetting("wide_pull", amount=15.0, side="left", strokes="breathing")
    swum = made("pace400_woman", breathing=("left", 4), faults=(setting,))
    assert swum.truth.value("pull_line_breathing_difference", "left") == pytest.approx(15.0, abs=DOOR)
    clean = made("pace400_woman", breathing=("left", 4))
    for side, state in (("left", False), ("right", None)):
        plain = clean.truth.value("pull_line", side, breathing=state)
        assert swum.truth.value("pull_line", side, breathing=state) == pytest.approx(plain, abs=DOOR)


def test_a_breath_only_amount_holds_on_both_sides_of_an_alternate_breather():
    setting = FaultSetting("wide_pull", amount=12.0, side="both", strokes="breathing")
    pattern = applied(made("pace400_woman", breathing=("left", 3)), setting)
    for side in SIDES:
        other, breath = (getattr(pattern, key).pull_line_m for key in (side, f"{side}_breathing"))
        assert breath - other == pytest.approx(0.12, abs=ALGEBRA), side


def test_breathing_strokes_of_an_arm_that_never_breathes_are_refused():
    one = made("pace400_man", breathing=("left", 2))
    with pytest.raises(InputError, match="'breathing' expected a swimmer who breathes to the right side"):
        applied(one, FaultSetting("wide_pull", severity=0.5, side="right", strokes="breathing"))


@pytest.mark.parametrize("slug", [slug for slug in ALL if fault_named(slug).of_arm])
@pytest.mark.parametrize("side", SIDES)
def test_a_one_sided_arm_fault_leaves_the_other_arm_and_the_trunk_alone(slug, side):
    clean, faulty = made("pace400_man").motion, FaultSetting(slug, severity=0.7, side=side)
    swum = made("pace400_man", faults=(faulty,)).motion
    time = np.linspace(0, clean.cycle_s, 200)
    moved = np.abs(swum.joints(time) - clean.joints(time)).max(axis=(0, 2))
    arm = [f"{side}_{joint}" for joint in ("elbow", "wrist", "knuckles", "fingertip", "thumb_tip")]
    still = [name not in (*arm, f"{side}_shoulder") for name in JOINTS]
    assert moved[still].max() == 0
    assert moved[[JOINTS.index(name) for name in arm]].max() > 0.01


@pytest.mark.parametrize("side", SIDES)
def test_one_sided_roll_faults_leave_the_other_peak_alone(side):
    other = other_side(side)
    flat = made("pace400_man", faults=(FaultSetting("flat_hips", severity=1.0, side=side),)).truth
    assert flat.value("hip_roll_peak", side) == pytest.approx(4.0, abs=DOOR)
    assert flat.value("hip_roll_peak", other) == pytest.approx(26.0, abs=DOOR)
    swum = made("pace400_man", faults=(FaultSetting("double_bump", severity=0.7, side=side),))
    assert swum.truth.value("hip_roll_peaks", side) == 2 and swum.truth.value("hip_roll_peaks", other) == 1
    for each in SIDES:
        assert swum.truth.value("hip_roll_peak", each) == pytest.approx(26.0, abs=DOOR)


# ---- Several faults


@pytest.mark.parametrize(("first", "second"), list(itertools.combinations(ALL, 2)))
def test_a_pair_composes_in_either_order_or_is_refused_by_name(first, second):
    one = swimmer("pace400_man", first, second)
    pair = FaultSetting(first, severity=0.5), FaultSetting(second, severity=0.5)
    if frozenset((first, second)) in CONFLICTS:
        with pytest.raises(InputError, match=f"faults {first} and {second} both set [a-z0-9_]+"):
            applied(one, *pair)
        return
    assert applied(one, *pair) == applied(one, *pair[::-1])
    try:
        both = swimmer("pace400_man", first, second, faults=pair)
    except UnreachableError as refusal:
        pytest.skip(str(refusal))
    for slug, setting in zip((first, second), pair, strict=True):
        alone = swimmer("pace400_man", first, second, faults=(setting,))
        assert main_values(both, slug) == pytest.approx(main_values(alone, slug), abs=DOOR), slug


@pytest.mark.parametrize(
    "pair", sorted(tuple(sorted(pair)) for pair in CONFLICTS if all(fault_named(f).of_arm for f in pair))
)
def test_faults_that_conflict_compose_on_different_sides(pair):
    one = made("pace400_man")
    left, right = (
        FaultSetting(slug, severity=0.5, side=s) for slug, s in zip(pair, ("left", "right"), strict=True)
    )
    both = applied(one, left, right)
    assert both.left == applied(one, left).left and both.right == applied(one, right).right


def test_one_fault_twice_is_refused():
    twice = [FaultSetting("early_exit", severity=s) for s in (0.3, 0.6)]
    with pytest.raises(InputError, match="faults early_exit and early_exit both set exit_past_hip_m"):
        applied(made("pace400_man"), *twice)


# ---- Wrong settings


@pytest.mark.parametrize(
    ("setting", "match"),
    [
        (
            FaultSetting("droped_elbow", severity=0.5),
            "expected one of dropped_elbow.*did you mean 'dropped_elbow'",
        ),
        (FaultSetting("early_exit"), "expected exactly one of severity, amount, word, got 0"),
        (
            FaultSetting("early_exit", severity=0.5, word="clear"),
            "exactly one of severity, amount, word, got 2",
        ),
        (FaultSetting("early_exit", severity=1.5), "severity: expected 0 to 1, got 1.5"),
        (FaultSetting("early_exit", severity=math.nan), "severity: expected 0 to 1, got nan"),
        (FaultSetting("early_exit", amount=math.inf), "amount: expected a finite number, got inf"),
        (FaultSetting("early_exit", word="huge"), "word: expected one of slight, clear, gross, got 'huge'"),
        (FaultSetting("early_exit", amount=-10, unit="deg"), "unit: expected one of cm, m, got 'deg'"),
        (
            FaultSetting("shoulder_driven", severity=0.5, side="left"),
            "side: expected one of both, got 'left'",
        ),
        (FaultSetting("flat_hips", severity=0.5, strokes="breathing"), "strokes: expected one of every, got"),
    ],
)
def test_a_wrong_setting_says_what_was_expected(setting, match):
    with pytest.raises(InputError, match=match):
        applied(made("pace400_man"), setting)


def test_all_that_is_wrong_with_a_setting_is_said_at_once():
    with pytest.raises(InputError, match="severity: expected 0 to 1") as raised:
        FaultSetting("early_exit", severity=2.0, side="up", strokes="some", word="big").check()
    assert len(str(raised.value).split("\n")) == 5
