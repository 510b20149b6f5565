"""INVARIANT (nothing changed is worth nothing, a fault put right is worth its price) and HAND-COUNTED (rows, order):
which change is worth most to a swimmer."""

import csv

import pytest
from water_swimmers import stroke_of

import swimsim
from swimsim.cli.main import run_program
from swimsim.faults.catalogue import FaultSetting
from swimsim.ground.conventions import MODEL_LINE
from swimsim.ground.errors import InputError
from swimsim.ground.words import order_of_correction
from swimsim.scenario import what_if as trying
from swimsim.scenario.read import read_scenario
from swimsim.scenario.what_if import Gain, changes
from swimsim.teaching.cost_words import gain_csv, gain_table
from swimsim.water.coefficients import coefficients, drawn_coefficients
from swimsim.water.cost import Interval, cost
from swimsim.water.price_rules import KICK_LEFT_OUT, NO_PRICE
from swimsim.water.what_if import worth

DRAWS = 6
KEYS = {
    "title": "two faults",
    "swimmer": {"sex": "man", "stature_m": 1.8},
    "fault": [{"fault": "early_exit", "severity": 0.5}, {"fault": "dropped_elbow", "severity": 0.7}],
}


def with_fault(slug, severity=0.7):
    return stroke_of("pace400_man", faults=(FaultSetting(slug, severity=severity),))


@pytest.fixture(scope="module")
def found():
    return swimsim.what_if(read_scenario(KEYS), draws=DRAWS)


def test_nothing_changed_is_worth_nothing():
    saved, reason, _ = worth(with_fault("early_exit"), with_fault("early_exit"), drawn=coefficients())
    assert saved == Interval(None, None, None)
    assert NO_PRICE in reason


def test_a_fault_put_right_saves_about_what_it_costs():
    """The power held is that with the fault, not that without it: the two differ by the little that 1 to 3 % do."""
    drawn = drawn_coefficients(DRAWS)
    saved, _, _ = worth(with_fault("early_exit"), stroke_of("pace400_man"), drawn=drawn)
    price = next(
        c for c in cost(stroke_of("pace400_man"), with_fault("early_exit"), draws=drawn)
        if (c.held, c.quantity) == ("power", "time_per_100_m")
    )  # fmt: skip
    assert saved.median == pytest.approx(price.change.median, rel=0.05)


def test_a_kick_is_not_judged():
    saved, _, note = worth(with_fault("sinking_legs"), stroke_of("pace400_man"), drawn=coefficients())
    assert note.startswith(KICK_LEFT_OUT)
    assert saved.median > 3  # what the drag of hanging legs costs
    _, reason, _ = worth(stroke_of("pace400_man", kick=2), stroke_of("pace400_man"), drawn=coefficients())
    assert "it lies in the kick" in reason


def test_another_pace_is_compared_by_its_interval_alone():
    one = stroke_of("pace400_man")
    pace = (1.05 * one.path.rate_hz, one.path.speed_m_s)
    saved, reason, note = worth(one, stroke_of("pace400_man", pace=pace), drawn=drawn_coefficients(DRAWS))
    assert note is None
    assert (saved.median is None) == (reason is not None)
    assert saved.median is None or abs(saved.median) < 1


def test_every_change_changes_one_thing():
    scenario = read_scenario(KEYS)
    own = scenario.model_dump()
    for name, fault, changed in changes(scenario):
        other = changed.model_dump()
        assert sum(own[key] != other[key] for key in own) == 1, name
        if fault:
            assert [f["fault"] for f in other["fault"]] == [
                f["fault"] for f in own["fault"] if f["fault"] != fault
            ]
    assert len(list(changes(scenario))) == 2 + 2 + 3 + 2


def test_the_best_comes_first_and_what_has_no_price_last(found):
    medians = [g.saved.median for g in found.gains]
    known = [m for m in medians if m is not None]
    assert known == sorted(known, reverse=True)
    assert medians == known + [None] * (len(medians) - len(known))
    worth_of = {g.fault: g.saved.median for g in found.gains if g.fault}
    assert min(worth_of.values()) > 0.5


def test_rows_carry_the_place_in_the_order_of_correction():
    gains = [
        Gain("without early_exit", "early_exit", Interval(2.0, 1.5, 2.5)),
        Gain("2 kg lighter", None, Interval(None, None, None), "why"),
    ]
    rows = gain_table(gains)
    assert rows[0]["order"] == str(order_of_correction().index("early_exit") + 1)
    assert rows[0]["saves, s per 100 m"] == "+2.0 (+1.5 to +2.5)"
    assert (rows[1]["order"], rows[1]["reason"]) == ("", "why")
    head, cells = gain_csv(gains)
    assert dict(zip(head, cells[0], strict=True))["median"] == "2"
    assert cells[1][4:] == ["", "", "", "why"]


def test_the_command_prints_and_writes_what_python_finds(found, tmp_path, capsys):
    own = tmp_path / "own.toml"
    text = '[swimmer]\nsex = "man"\nstature_m = 1.8\n'
    own.write_text(
        text
        + "".join(f'[[fault]]\nfault = "{f["fault"]}"\nseverity = {f["severity"]}\n' for f in KEYS["fault"])
    )
    out = str(tmp_path / "o")
    assert run_program(["cost", str(own), "--what-if", "--draws", str(DRAWS), "--out", out]) == 0
    printed = capsys.readouterr().out
    assert "without dropped_elbow" in printed
    assert MODEL_LINE in printed
    with open(tmp_path / "o" / "what_if.csv", encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [r["change"] for r in rows] == [g.change for g in found.gains]
    best = found.gains[0].saved
    assert float(rows[0]["median"]) == pytest.approx(best.median, rel=1e-4)


def test_a_change_that_no_body_can_have_is_told_and_the_others_stay(monkeypatch):
    def two(scenario):
        for stature in (9.9, 1.8):
            who = scenario.swimmer.model_copy(update={"stature_m": stature})
            yield f"{stature} m", None, scenario.model_copy(update={"swimmer": who})

    monkeypatch.setattr(trying, "changes", two)
    told = {g.change: g for g in swimsim.what_if(read_scenario(KEYS), draws=2).gains}
    assert "9.9" in told["9.9 m"].reason
    assert NO_PRICE in told["1.8 m"].reason  # it is what it was


def test_the_planar_swimmer_has_no_price():
    with pytest.raises(InputError, match="dimensions: expected 3 for a price, got 2"):
        swimsim.what_if({"dimensions": 2, "output": {"views": ["side_left"]}}, draws=2)
