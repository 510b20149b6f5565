"""INVARIANT and PUBLISHED: clean swimmers are drawn once and for all by seed and number, cover what they must, and
come near no fault; the spread of their timing and roll is that of published groups.
"""

import dataclasses
import json
import math
import subprocess
import sys
import tomllib
from pathlib import Path

import numpy as np
import pytest
from tolerances import mean_of_noisy

import swimsim
from swimsim.faults.catalogue import FaultSetting, aliases, faults
from swimsim.ground.conventions import SIDES
from swimsim.ground.errors import InputError
from swimsim.ground.tables import read_toml
from swimsim.motion.human import problems
from swimsim.scenario import clean_swimmers as room
from swimsim.scenario.clean_draw import drawn_keys
from swimsim.scenario.clean_swimmers import clean_scenario, clean_swimmer, clean_swimmers, severities_of
from swimsim.scenario.models import Scenario
from swimsim.scenario.play import play
from swimsim.scenario.read import read_scenario, to_toml
from swimsim.scenario.resolve import clean_pattern
from swimsim.scenario.severity import size_of

ROOT = Path(__file__).resolve().parents[1]
SEED, FEW, MANY = 4, 24, 200
MOST = 0.25  # decided: a clean swimmer lies below this effective severity of every fault
DRAWS = 3000  # keys are drawn without being swum
IDC_SD = (
    5.0,
    7.1,
)  # Schnitzler et al. 2010 [read]: recreational 5.0, elite 7.1 % between swimmers of one level
GONJO_ROLL_SD = 4.89  # Gonjo et al. 2020 [read]: shoulder roll per side, ten men


@pytest.fixture(scope="module")
def keys():
    """Many first draws, not swum."""
    return [drawn_keys(SEED, number) for number in range(DRAWS)]


@pytest.fixture(scope="module")
def family():
    return list(clean_swimmers(SEED, FEW))


def near_none(one):
    """Every fault of the catalogue that this swimmer could show is below the limit on every side."""
    assert one.nearest_fault[1] < MOST, one.nearest_fault
    assert max(one.severities.values()) == one.nearest_fault[1]
    shown = {slug for slug, _, _ in one.severities}
    hidden = {"head_lift", "late_breath"} if one.scenario.breathing.side == "none" else set()
    assert shown == {*faults(), *aliases()} - hidden
    assert not problems(one.swum.motion)


# ---- what is drawn


def test_the_family_covers_bodies_paces_kicks_and_ways_to_breathe(keys):
    stature = np.array([one["swimmer"]["stature_m"] for one in keys])
    assert stature.min() < 1.46 and stature.max() > 2.04 and stature.min() >= 1.45 and stature.max() <= 2.05
    assert {one["swimmer"]["sex"] for one in keys} == {"woman", "man"}
    assert {one["stroke"]["preset"].split("_")[0] for one in keys} == {"sprint", "pace400", "masters"}
    assert {one["kick"]["beats"] for one in keys} == {2, 4, 6}
    ways = {(one["breathing"]["side"], one["breathing"]["every"]) for one in keys}
    assert ways >= {("none", 0), ("left", 2), ("right", 2), ("left", 3), ("right", 3)}
    assert all(one["stroke"]["variability"] for one in keys)


def test_women_and_men_and_the_three_paces_come_equally_often(keys):
    """A share p of n draws scatters by sqrt(p (1 - p) / n) (binomial)."""
    for share, of in ((1 / 2, ("woman", "man")), (1 / 3, ("sprint", "pace400", "masters"))):
        for name in of:
            count = sum(
                name in (one["swimmer"]["sex"], one["stroke"]["preset"].split("_")[0]) for one in keys
            )
            sd = math.sqrt(share * (1 - share))
            assert count / DRAWS == pytest.approx(share, abs=mean_of_noisy(sd, DRAWS)), name


def test_two_beats_come_as_often_as_the_table_says(keys):
    for pace, row in read_toml("clean_swimmers")["pace"].items():
        these = [one for one in keys if f": {pace}," in one["title"]]
        for beats, share in row["kick"].items():
            found = sum(one["kick"]["beats"] == int(beats) for one in these) / len(these)
            assert found == pytest.approx(
                share, abs=mean_of_noisy(math.sqrt(share * (1 - share)), len(these))
            )


def test_straight_arm_recoveries_are_drawn_as_often_as_the_table_says(keys):
    for pace, row in read_toml("clean_swimmers")["pace"].items():
        straight = [one["stroke"]["recovery"] == "straight" for one in keys if f": {pace}," in one["title"]]
        sd = math.sqrt(row["straight"] * (1 - row["straight"]))
        assert np.mean(straight) == pytest.approx(row["straight"], abs=mean_of_noisy(sd, len(straight)))


def test_both_catch_up_and_overlap_are_drawn(keys):
    """Index of coordination of even arms: pull + push - 50 (identity); below -1 a gap, above +1 overlap."""
    index = np.array([coordination(one) for one in keys])
    assert (index < -5).mean() > 0.2 and (index > 1).mean() > 0.02
    assert index.min() < -14 and index.max() > 3


def test_timing_scatters_no_more_than_published_groups_and_not_much_less(keys):
    """Within one pace; the distribution is truncated, so a little less than printed."""
    for pace in ("sprint", "distance", "masters"):
        index = [coordination(one) for one in keys if f": {pace}," in one["title"]]
        assert 0.5 * IDC_SD[0] < np.std(index) < IDC_SD[1]


def coordination(one):
    shares = [one["stroke"][f"{side}_{phase}_share"] for side in SIDES for phase in ("pull", "push")]
    return 100 * sum(shares) / 2 - 50


def test_shoulder_roll_scatters_no_more_than_published(keys):
    roll = [one["stroke"]["shoulder_roll_left_deg"] for one in keys if "pace400" in one["stroke"]["preset"]]
    assert 0.5 * GONJO_ROLL_SD < np.std(roll) < GONJO_ROLL_SD


def test_left_and_right_differ_a_little(keys):
    """Natural difference: hardly ever none, and small beside that between swimmers."""
    for name in ("pull_share", "entry_line_m", "forearm_slope_at_45_deg", "hand_depth_m"):
        left, right = (np.array([one["stroke"][f"{side}_{name}"] for one in keys]) for side in SIDES)
        assert (left != right).mean() > 0.9, name
        assert np.std(left - right) < np.std(left), name


def test_offsets_stay_between_least_and_most(keys):
    """The rate of one pace and sex, around the rate printed for the preset."""
    presets, rows = read_toml("presets")["preset"], read_toml("clean_swimmers")["pace"]
    for row in rows.values():
        for preset in row["preset"].values():
            own = presets[preset]["rate_per_min"]
            off = [
                one["stroke"]["stroke_rate_per_min"] - own
                for one in keys
                if one["stroke"]["preset"] == preset
            ]
            assert min(off) >= row["rate"]["least"] - 0.005 and max(off) <= row["rate"]["most"] + 0.005
            assert np.ptp(off) > 0.8 * (row["rate"]["most"] - row["rate"]["least"])


# ---- one number, one swimmer


def test_the_same_numbers_give_the_same_swimmer_and_others_another():
    assert drawn_keys(3, 5) == drawn_keys(3, 5)
    others = [drawn_keys(3, 6), drawn_keys(4, 5), drawn_keys(3, 5, 1), drawn_keys(5, 3)]
    for other in others:
        assert other["stroke"] != drawn_keys(3, 5)["stroke"] and other["seed"] != drawn_keys(3, 5)["seed"]


def test_another_process_draws_the_same_swimmers():
    code = (
        "import json; from swimsim.scenario.clean_draw import drawn_keys; "
        "print(json.dumps([drawn_keys(7, k) for k in range(5)]))"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    ).stdout
    assert json.loads(ran) == [drawn_keys(7, k) for k in range(5)]


@pytest.mark.slow
def test_a_swimmer_does_not_depend_on_how_many_are_drawn(family):
    room.clean_swimmer.cache_clear()
    assert clean_scenario(SEED, 2) == family[2].scenario


@pytest.mark.slow
def test_the_scenario_is_resolved_and_plays_the_same_swimmer_from_its_text(family, tmp_path):
    one = family[0]
    assert isinstance(one.scenario, Scenario) and not one.scenario.fault and one.scenario.stroke.variability
    (tmp_path / "one.toml").write_text(to_toml(one.scenario), encoding="utf-8")
    again = play(read_scenario(tmp_path / "one.toml"))
    assert again.fault is again.correct  # nothing to compare: swum once
    np.testing.assert_array_equal(again.fault.trace.joints_m, one.swum.trace.joints_m)


@pytest.mark.parametrize(
    ("seed", "number", "match"),
    [
        (-1, 0, "seed: expected a whole number from 0 to 4294967295, got -1"),
        (0, -1, "clean swimmer: expected a whole number from 0 to"),
        (0, 1.5, "clean swimmer: expected a whole number .*got 1.5"),
        (True, 0, "seed: expected a whole number .*got True"),
    ],
)
def test_a_wrong_seed_or_number_is_refused(seed, number, match):
    with pytest.raises(InputError, match=match):
        clean_scenario(seed, number)


# ---- what is swum


def test_the_first_two_come_near_no_fault():
    for one in clean_swimmers(SEED, 2):
        near_none(one)


@pytest.mark.slow
def test_a_few_come_near_no_fault(family):
    for one in family:
        near_none(one)
    assert len({one.scenario.seed for one in family}) == FEW


@pytest.mark.slow
def test_many_come_near_no_fault():
    thrown = 0
    for one in clean_swimmers(SEED + 1, MANY):
        near_none(one)
        thrown += len(one.redrawn)
    assert thrown < 2 * MANY  # most draws are a swimmer


@pytest.mark.slow
def test_strokes_scatter_from_cycle_to_cycle(family):
    for one in family:
        values = [
            m.value
            for m in one.swum.truth.measures
            if (m.measure, m.side) == ("entry_line", "left") and m.cycle
        ]
        assert len(values) >= 5 and np.std(values) > 0.1  # cm


@pytest.mark.slow
def test_severities_are_those_of_the_truth(family):
    """Each is (m - n) / (g - n), here by hand for one fault: early exit, gross -25 cm, normal 4.2 % of stature."""
    for one in family[:6]:
        for side in SIDES:
            m, n = one.swum.truth.value("exit_past_hip", side), 4.2 * one.swum.body.stature_m
            expected = max(0.0, (m - n) / (-25.0 - n))
            assert one.severities["early_exit", side, "every"] == pytest.approx(expected, abs=1e-9)


@pytest.mark.slow
def test_a_straight_arm_is_a_style_and_no_low_elbow(family):
    """The elbow is straight (150 degrees and more) and below the wrist, which would be a fault with a bent arm."""
    styles = [one for one in family if one.scenario.stroke.recovery == "straight"]
    assert styles
    for one in styles:
        for side in SIDES:
            assert one.swum.truth.value("elbow_at_mid_recovery", side) > 150
            assert one.swum.truth.value("elbow_above_wrist", side) < 0
            assert one.severities["low_elbow_recovery", side, "every"] == 0


@pytest.mark.slow
def test_a_fault_on_top_is_found_by_the_same_severities(family):
    """A swimmer with a fault is no clean one: the check can fail."""
    one = next(one for one in family if one.scenario.breathing.side != "none")
    keys = one.scenario.model_dump(exclude_none=True)
    faulty = play(
        read_scenario({**keys, "fault": [{"fault": "palm_in_finish", "severity": 0.7, "side": "left"}]})
    )
    clean = clean_pattern(one.scenario, one.swum.body)
    found = severities_of(faulty.fault.truth, clean=clean, body=one.swum.body)
    assert found["palm_in_finish", "left", "every"] > 0.6
    assert found["palm_in_finish", "right", "every"] == pytest.approx(
        one.severities["palm_in_finish", "right", "every"], abs=0.01
    )
    setting = FaultSetting("palm_in_finish", severity=0.7, side="left")
    assert found["palm_in_finish", "left", "every"] == pytest.approx(
        size_of(setting, faulty.fault.truth, clean=clean, body=one.swum.body).severity_effective
    )


# ---- draws that are thrown away


def test_a_draw_near_a_fault_is_thrown_away_and_counted(monkeypatch):
    """With a limit just below the first draw's own severity the swimmer is another one, and the count says so."""
    first = clean_swimmer(11, 0)
    table = {**read_toml("clean_swimmers"), "most_severity": first.nearest_fault[1]}
    monkeypatch.setattr(room, "read_toml", lambda name: table)
    room.clean_swimmer.cache_clear()
    second = clean_swimmer(11, 0)
    room.clean_swimmer.cache_clear()
    assert len(second.redrawn) > len(first.redrawn)
    assert second.nearest_fault[1] < first.nearest_fault[1]
    assert any(line.startswith("near a fault: ") for line in second.redrawn)


def test_a_table_without_swimmers_says_so(monkeypatch):
    table = {**read_toml("clean_swimmers"), "most_severity": -1.0, "most_draws": 1}
    monkeypatch.setattr(room, "read_toml", lambda name: table)
    room.clean_swimmer.cache_clear()
    with pytest.raises(InputError, match="clean swimmer 0 of seed 11: none in 1 draws; the last: "):
        clean_swimmer(11, 0)
    room.clean_swimmer.cache_clear()


@pytest.mark.slow
def test_records_are_frozen(family):
    with pytest.raises(dataclasses.FrozenInstanceError, match="number"):
        family[0].number = 3


# ---- the doors


@pytest.mark.slow
def test_a_scenario_takes_a_drawn_swimmer_by_number(family):
    drawn = family[3].scenario
    assert read_scenario({"seed": SEED, "swimmer": {"clean": 3}}).model_dump() == drawn.model_dump()


@pytest.mark.slow
def test_a_file_adds_faults_pictures_and_a_title_to_a_drawn_swimmer(family):
    fault = {"fault": "early_exit", "severity": 0.5, "side": "left"}
    keys = {
        "seed": SEED, "title": "Mine", "swimmer": {"clean": 3}, "fault": [fault], "output": {"views": ["front"]},
        "stroke": {"variability": False},
    }  # fmt: skip
    scenario, drawn = read_scenario(keys), family[3].scenario
    assert (scenario.title, scenario.output.views, scenario.stroke.variability) == ("Mine", ["front"], False)
    assert [(one.fault, one.severity, one.side) for one in scenario.fault] == [("early_exit", 0.5, "left")]
    assert scenario.swimmer == drawn.swimmer and scenario.seed == drawn.seed
    assert scenario.stroke.model_copy(update={"variability": True}) == drawn.stroke
    assert read_scenario(to_toml_keys(scenario)).model_dump() == scenario.model_dump()


def to_toml_keys(scenario):
    return tomllib.loads(to_toml(scenario))


def test_what_a_drawn_swimmer_has_of_its_own_is_refused_all_at_once():
    keys = {
        "swimmer": {"clean": 3, "stature_m": 1.7}, "stroke": {"speed_m_s": 1.2, "side_effects": True},
        "kick": {"beats": 2}, "breathing": {"side": "left"},
    }  # fmt: skip
    with pytest.raises(InputError, match=r"expected no such key beside swimmer\.clean = 3") as caught:
        read_scenario(keys)
    said = [line.split(": ")[1] for line in str(caught.value).split("\n")]
    assert said == ["swimmer.stature_m", "stroke.speed_m_s", "kick.beats", "breathing.side"]


def test_a_number_that_is_no_swimmer_is_one_clear_line():
    with pytest.raises(
        InputError, match=r"scenario: swimmer\.clean: expected a whole number from 0 to .*got -1"
    ):
        read_scenario({"swimmer": {"clean": -1}})


def test_the_list_shows_the_paces_and_any_swimmer_by_number():
    assert [row["name"] for row in swimsim.listing("swimmers")] == ["sprint", "distance", "masters"]
    sprint = swimsim.details("swimmers", "sprint")
    assert sprint["arm exit_past_hip"]["unit"] == "stature_percent"
    entry, one = swimsim.details("swimmers", "2"), clean_swimmer(0, 2)
    assert entry["name"] == "2" and f"{one.scenario.swimmer.stature_m:g} m" in entry["body"]
    assert one.nearest_fault[0] in entry["nearest_fault"]
    assert read_scenario(tomllib.loads(entry["file"])).model_dump() == one.scenario.model_dump()
    with pytest.raises(
        InputError, match=r"list swimmers: expected a name of this list, got 'sprnt'.*'sprint'"
    ):
        swimsim.details("swimmers", "sprnt")


def test_the_public_functions_give_clean_swimmers():
    assert swimsim.clean_scenario(SEED, 1) == clean_scenario(SEED, 1)
    assert [one.number for one in swimsim.clean_swimmers(SEED, 2)] == [0, 1]
