"""INVARIANT (parts add up to the whole at the same power, nothing is left at the end) and HAND-COUNTED (rows, words):
several faults put right one by one."""

import csv

import pytest
from tolerances import ALGEBRA
from water_swimmers import stroke_of

import swimsim
from swimsim.cli.main import run_program
from swimsim.faults.catalogue import FaultSetting
from swimsim.ground.conventions import CAUTION_LINE, MODEL_LINE
from swimsim.scenario import put_right
from swimsim.scenario import what_if as trying
from swimsim.scenario.put_right import Step, one_by_one
from swimsim.scenario.read import read_scenario
from swimsim.scenario.what_if import changes
from swimsim.teaching.cost_words import step_csv, step_sentence, step_table
from swimsim.water.coefficients import coefficients, drawn_coefficients
from swimsim.water.cost import Interval
from swimsim.water.what_if import worth

DRAWS = 4
MAN = {"swimmer": {"sex": "man", "stature_m": 1.8}}
TWO = [{"fault": "wide_pull", "severity": 0.9}, {"fault": "dropped_elbow", "severity": 0.5}]
NONE = Interval(None, None, None)


def faults_alone(scenario):
    """The faults put right, without the other changes that are tried."""
    return [row for row in changes(scenario) if row[1]]


@pytest.fixture(scope="module")
def found():
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(trying, "changes", faults_alone)
        return swimsim.what_if({**MAN, "fault": TWO}, draws=DRAWS)


def test_parts_add_up_at_the_power_that_is_held():
    one = FaultSetting("early_exit", severity=0.7), FaultSetting("dropped_elbow", severity=0.7)
    now, middle, clean = (stroke_of("pace400_man", faults=some) for some in (one, one[1:], ()))
    usual = coefficients()
    first, second, whole = (
        worth(*pair, drawn=usual, held=now)[0].median
        for pair in ((now, middle), (middle, clean), (now, clean))
    )
    assert first + second == pytest.approx(whole, abs=ALGEBRA)
    assert min(first, second) > 0.5
    # held by the swimmer himself it is what it was without that word
    assert worth(now, clean, drawn=usual)[0].median == pytest.approx(whole, abs=1e-6)


def test_each_time_the_best_fix_comes_first(found):
    alone = {g.fault: g.saved for g in found.gains if g.fault}
    assert found.steps[0].fault == max(alone, key=lambda fault: alone[fault].median)
    assert found.steps[0].saved == found.steps[0].together == alone[found.steps[0].fault]
    assert {step.fault for step in found.steps} == {"wide_pull", "dropped_elbow"}


def test_at_the_end_nothing_is_left(found):
    """All put right is the clean swimmer, at the power of the one with both faults."""
    faults = tuple(FaultSetting(f["fault"], severity=f["severity"]) for f in TWO)
    whole = worth(
        stroke_of("pace400_man", faults=faults), stroke_of("pace400_man"), drawn=drawn_coefficients(DRAWS)
    )[0]
    assert found.steps[-1].together.median == pytest.approx(whole.median, rel=1e-3)


def test_a_linked_set_is_put_right_member_by_member():
    scenario = read_scenario({**MAN, "linked": [{"set": "crossing_legs", "word": "clear"}]})
    steps = one_by_one(scenario, draws=2)
    assert {step.fault for step in steps} == {"crossover", "scissor_kick"}
    assert steps[0].saved.median >= (steps[1].saved.median or 0.0)


def test_a_side_is_named_and_one_fault_has_no_order():
    sides = [{"fault": "early_exit", "severity": 0.5, "side": side} for side in ("left", "right")]
    scenario = read_scenario({**MAN, "fault": sides})
    names = [name for name, fault, _ in changes(scenario) if fault]
    assert names == ["without early_exit (left)", "without early_exit (right)"]
    assert one_by_one(read_scenario({**MAN, "fault": sides[:1]}), draws=2) == []


def test_a_fix_that_no_body_can_swim_is_told_and_the_others_stay(monkeypatch):
    real = put_right.swum

    def refuse(scenario):
        if [f.fault for f in scenario.fault] == ["dropped_elbow"]:
            raise put_right.InputError("elbow: out of reach\nmore")
        return real(scenario)

    monkeypatch.setattr(put_right, "swum", refuse)
    steps = one_by_one(read_scenario({**MAN, "fault": TWO}), draws=2)
    assert [step.fault for step in steps] == ["dropped_elbow", "wide_pull"]
    assert steps[1].reason is None or "reach" not in steps[1].reason


# ---- words and rows

STEPS = [
    Step("thumb_first", "thumb_first", Interval(2.0, 1.0, 3.0), Interval(2.0, 1.0, 3.0)),
    Step("crossover", "crossover (left)", NONE, Interval(2.5, 1.0, 4.0), "why"),
]


def test_rows_of_the_steps():
    rows = step_table(STEPS)
    assert [row["put right"] for row in rows] == ["1. thumb_first", "2. crossover (left)"]
    assert rows[0]["saves, s per 100 m"] == "+2.0 (+1.0 to +3.0)"
    assert (rows[1]["saves, s per 100 m"], rows[1]["reason"]) == ("", "why")
    assert int(rows[1]["order"]) < int(rows[0]["order"])  # crossover is corrected before thumb first
    head, cells = step_csv(STEPS)
    assert len(head) == len(cells[0]) == len(cells[1]) == 11
    assert cells[1][4:] == ["", "", "", "2.5", "1", "4", "why"]


def test_what_is_worth_most_is_held_against_the_order_of_correction():
    assert "begins with crossover" in step_sentence(STEPS)
    assert "a cause comes before" in step_sentence(STEPS)
    same = [Step("crossover", "crossover", Interval(2.0, 1.0, 3.0), Interval(2.0, 1.0, 3.0)), STEPS[0]]
    assert "begins with it too" in step_sentence(same)
    assert "keep to the order of correction" in step_sentence([STEPS[1], STEPS[1]])


def test_the_command_prints_and_leaves_the_steps(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(trying, "changes", faults_alone)
    own = tmp_path / "own.toml"
    text = '[swimmer]\nsex = "man"\nstature_m = 1.8\n'
    text += "".join(f'[[fault]]\nfault = "{f["fault"]}"\nseverity = {f["severity"]}\n' for f in TWO)
    own.write_text(text)
    out = tmp_path / "o"
    assert run_program(["cost", str(own), "--what-if", "--draws", "2", "--out", str(out)]) == 0
    printed = capsys.readouterr().out
    assert "Put right one by one" in printed
    assert "worth most to put right first" in printed
    assert MODEL_LINE in printed
    assert CAUTION_LINE in printed
    with open(out / "put_right.csv", encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["place"] for row in rows] == ["1", "2"]
    assert float(rows[1]["together_median"]) > float(rows[0]["together_median"])
