"""INVARIANT (columns, the door says what the model says, one fault at a time), HAND-COUNTED (order, sentences, cells)
and ROUND TRIP (cost.csv): faults of a scenario priced by name, on the command line and from Python."""

import csv
import dataclasses
import json

import numpy as np
import pytest
from PIL import Image

import swimsim
from swimsim.cli import show
from swimsim.cli.main import run_program
from swimsim.faults.catalogue import FaultSetting, faults
from swimsim.ground.conventions import CAUTION_LINE, MODEL_LINE
from swimsim.ground.errors import InputError
from swimsim.ground.tables import read_toml
from swimsim.scenario.in_water import fault_cost
from swimsim.scenario.price import Priced, SetSpeed, every_fault, price, set_speed
from swimsim.scenario.read import read_scenario
from swimsim.teaching.cost_picture import bar_of
from swimsim.teaching.cost_words import COLUMNS, cost_text, csv_rows, ranked, sentences, speed_words, table
from swimsim.view import cost_chart
from swimsim.water.cost import HELD, QUANTITIES, Cost, Interval
from swimsim.water.price_rules import KICK_LEFT_OUT, NO_PRICE

DRAWS = 8
MAN = {"swimmer": {"sex": "man", "stature_m": 1.8}}


def scenario_of(*wanted, **keys):
    return read_scenario({**MAN, **keys, "fault": [{"fault": f, "severity": s} for f, s in wanted]})


@pytest.fixture(scope="module")
def two():
    return price(scenario_of(("early_exit", 0.7), ("dropped_elbow", 0.5)), draws=DRAWS)


def made(fault, low, median, high, *, reason=None, note=None):
    """A price by hand."""
    change = Interval(median, low, high)
    costs = [Cost(h, "time_per_100_m", "s", change, change, change, reason, note) for h in HELD]
    shares = [
        Cost("power", f"{way}_share", "%", Interval(50.0, 50.0, 50.0), Interval(40.0, 40.0, 40.0), change)
        for way in ("backward", "downward")
    ]
    return Priced(fault, 0.5, (*costs, *shares))


# ---- prices of a scenario


def test_each_fault_of_a_scenario_is_priced_alone(two):
    """The same price as that of the fault alone on the preset's swimmer."""
    assert [(p.fault, p.severity) for p in two] == [("early_exit", 0.7), ("dropped_elbow", 0.5)]
    alone = fault_cost(FaultSetting("early_exit", severity=0.7), draws=DRAWS, stature_m=1.8)
    for one, other in zip(two[0].costs, alone, strict=True):
        assert one.change.median == pytest.approx(other.change.median, rel=1e-3, abs=1e-6)  # mass to 10 g


def test_a_size_in_the_faults_own_unit_has_its_severity():
    """Hand-counted by the scale from the swimmer's own value to gross: the word clear is 0.6."""
    keys = {**MAN, "fault": [{"fault": "early_exit", "word": "clear"}]}
    assert price(read_scenario(keys), draws=2)[0].severity == pytest.approx(0.6)


def test_without_faults_every_fault_of_the_catalogue_is_meant():
    assert [s.fault for s in every_fault(0.4)] == list(faults())
    assert {s.severity for s in every_fault(0.4)} == {0.4}


def test_a_fault_of_the_breath_is_priced_on_a_swimmer_who_never_breathes():
    found = price(read_scenario(MAN), settings=[FaultSetting("head_lift", severity=1.0)], draws=2)
    assert found[0].costs


def test_a_fault_that_a_swimmer_cannot_show_is_told_and_the_others_stay():
    still = read_scenario({**MAN, "kick": {"beats": 0}})
    settings = [FaultSetting(slug, severity=0.5) for slug in ("knee_kick", "early_exit")]
    found = price(still, settings=settings, draws=2)
    assert "expected a swimmer who kicks" in found[0].refused
    assert found[1].costs
    assert csv_rows(found)[-1][:1] + csv_rows(found)[-1][5:8] == ["knee_kick", "", "", ""]
    assert bar_of(found[0]).reason.startswith("not shown")
    assert table(found)[-1]["reason"] == found[0].refused


def test_the_planar_swimmer_has_no_price():
    flat = read_scenario({"dimensions": 2})
    with pytest.raises(InputError, match="dimensions: expected 3 for a price, got 2"):
        price(flat, settings=every_fault(0.5), draws=2)


# ---- words and rows


def test_the_dearest_comes_first_and_what_has_no_price_last():
    cheap, dear, saves = (
        made("flat_hips", 1, 2, 3),
        made("crossover", 3, 4, 5),
        made("wide_pull", -2, -1, -0.5),
    )
    nothing = made("head_lift", None, None, None, reason="none")
    assert ranked([nothing, cheap, saves, dear]) == [dear, cheap, saves, nothing]


def test_what_a_coach_may_say():
    said = sentences(
        [made("crossover", 3.1, 4.0, 6.2), made("head_lift", None, None, None, reason=f"{NO_PRICE}: why")]
    )
    assert said == [
        "crossover: in this model it costs about 3 to 6 s per 100 m at the same effort.",
        "head lift: this model puts no price on it: why.",
    ]


def test_rows_of_the_table():
    row = table([made("crossover", 3.1, 4.0, 6.2, note=KICK_LEFT_OUT)])[0]
    assert row["s per 100 m, same effort"] == "+4.0 (+3.1 to +6.2)"
    assert row["backward share"] == "50 to 40 %"
    assert row["reason"] == KICK_LEFT_OUT
    assert bar_of(made("crossover", 3.1, 4.0, 6.2, note=KICK_LEFT_OUT)).reason == "kick left out"


def test_an_empty_number_has_its_reason():
    rows = csv_rows([made("head_lift", None, None, None, reason="why")])
    assert rows[0] == ["head_lift", "0.5", "power", "time_per_100_m", "s", "", "", "", "why"]


# ---- doors


@pytest.fixture(scope="module")
def left(tmp_path_factory):
    out = tmp_path_factory.mktemp("cost") / "early"
    return swimsim.cost("early_exit", out, draws=DRAWS)


def test_cost_leaves_a_table_a_picture_and_words(left):
    assert left.files == ("cost.csv", "cost.png", "cost.txt")
    with open(left.folder / "cost.csv", encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert tuple(rows[0]) == COLUMNS
    assert ",".join(COLUMNS) == "fault,severity,held,quantity,unit,median,low,high,reason"
    assert [(r[2], r[3]) for r in rows[1:]] == [(h, q) for h in HELD for q in QUANTITIES]
    found = {(r[2], r[3]): r for r in rows[1:]}
    for line in left.prices[0].costs:
        median = found[line.held, line.quantity][5]
        assert float(median) == pytest.approx(line.change.median, rel=1e-5)


def test_caution_and_model_stand_with_every_price(left):
    text = (left.folder / "cost.txt").read_text(encoding="utf-8")
    for said in (MODEL_LINE, CAUTION_LINE, *left.sentences[:-1]):
        assert said in text
    assert MODEL_LINE in left.fine_print[0]
    assert f"{read_toml('water')['gain']['unsteady']['value']:.2f}" in left.fine_print[0]


def test_the_text_fits_a_phone(two):
    """Lines of the table have 56 letters at most; sentences and fine print are left whole."""
    long = "not shown: " + "a reason that is longer than a line of a phone " * 3
    prices = [*two, made("head_lift", None, None, None, reason=long)]
    rows = cost_text(prices, title="Two and one", draws=DRAWS).split("\n")
    rows = rows[: rows.index(sentences(prices)[0])]
    assert max(map(len, rows)) <= 56
    assert "early_exit, severity 0.7" in rows
    assert sum(row.startswith("  s per 100 m, same effort: ") for row in rows) == 2


def test_a_narrow_terminal_shows_costs_below_each_other(monkeypatch, capsys):
    monkeypatch.setattr(show, "_width", lambda: 44)
    show.costs(
        [{"fault": "early_exit", "severity": 0.7, "s per 100 m": "+1.0", "reason": "long " * 20}],
        title="Costs",
    )
    lines = capsys.readouterr().out.rstrip("\n").split("\n")
    assert lines[:5] == ["Costs", "", "early_exit", "  severity: 0.70", "  s per 100 m: +1.0"]
    assert max(map(len, lines)) <= 44
    assert " ".join(" ".join(lines[5:]).split()) == "reason: " + "long " * 19 + "long"


def test_a_reason_at_the_same_rate_is_told_beside_a_price_at_the_same_effort():
    priced = made("crossover", 3.1, 4.0, 6.2)
    empty = dataclasses.replace(priced.costs[1], change=Interval(None, None, None), reason="why")
    row = table([dataclasses.replace(priced, costs=(priced.costs[0], empty, *priced.costs[2:]))])[0]
    assert (row["s per 100 m, same rate"], row["reason"]) == ("", "same rate: why")


def test_a_set_speed_says_which_thrust_it_implies():
    """30 kg/m at 1.45 m/s is 63 N, give or take the posture; one speed is as set, the other as the water gives it."""
    speed = set_speed(read_scenario({**MAN, "stroke": {"speed_m_s": 1.45}}))
    assert speed.needed_n == pytest.approx(30 * 1.45**2, rel=0.01)
    assert speed.set_m_s == 1.45
    assert (speed.given_n < speed.needed_n) == (speed.own_m_s < speed.set_m_s)
    assert speed_words(SetSpeed(1.45, 1.438, 63.1, 61.6)) == (
        "At the set 1.45 m/s without a fault the body's drag is 63 N and the stroke pushes 62 N; left to the water it "
        "swims 1.44 m/s."
    )


def test_the_picture_shows_a_dot_in_the_colour_of_a_fault(left):
    from swimsim.view.colours import THEMES

    picture = np.asarray(Image.open(left.folder / "cost.png").convert("RGB")).reshape(-1, 3)
    assert (picture == THEMES["light"].fault).all(axis=1).sum() > 30
    assert left.folder.joinpath("cost.png").stat().st_size < 200_000


def test_the_picture_can_be_read_on_a_phone(tmp_path):
    """Letters of 9 pixels or more where it is shown 390 wide; nothing runs out of it, however long a reason is."""
    assert min(cost_chart.FINE, cost_chart.NUMBER, cost_chart.NAME) * 390 / cost_chart.WIDE >= 9
    bars = [
        cost_chart.Bar("palm turned in at the finish", 12.0, 9.2, 14.4, "kick left out"),
        cost_chart.Bar("head lift", None, None, None, "not shown: " + "a long reason " * 30),
    ]
    for some in (bars, bars[:1], bars[1:]):
        path = tmp_path / "costs.png"
        cost_chart.draw_costs(
            some, path, title="What it costs " * 6, axis="seconds", fine_print=[CAUTION_LINE]
        )
        picture = np.asarray(Image.open(path).convert("L"))
        assert picture.shape[1] == 1080
        edge = round(10 * 1080 / cost_chart.WIDE)
        assert picture[:, :edge].min() == picture[:, -edge:].min() == picture[-edge:].min() == 255
        assert picture.min() < 60


def test_the_command_says_what_python_says(left, capsys, tmp_path):
    assert run_program(["cost", "early_exit", "--draws", str(DRAWS), "--out", str(tmp_path / "o")]) == 0
    printed = capsys.readouterr().out
    assert left.sentences[0] in printed
    assert CAUTION_LINE[:60] in printed
    assert (tmp_path / "o" / "cost.csv").read_bytes() == (left.folder / "cost.csv").read_bytes()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["cost", "early_exit", "--draws", "1"], "draws: expected a whole number, 2 or more, got 1"),
        (["cost", "--severity", "2", "--draws", "2"], "severity: expected 0 to 1, got 2"),
        (["cost", "nothing_of_this_name"], "nothing_of_this_name"),
    ],
)
def test_wrong_input_is_said_and_leaves_nothing(arguments, said, capsys, tmp_path):
    assert run_program([*arguments, "--out", str(tmp_path / "o")]) == 2
    assert said in capsys.readouterr().err
    assert not (tmp_path / "o").exists()


def test_prices_are_numbers_that_json_knows(left):
    assert "NaN" not in json.dumps([c.change.median for c in left.prices[0].costs])
