"""COMMON PRACTICE and PUBLISHED: faults that are seen together are set together, the cause first; INVARIANT: each is as
large as its share of the one severity says.

Virag et al. 2014, Sports Health 6:218-224 [read]: a low recovery elbow goes with a thumb-first entry and a wrong entry
position; eyes forward with a wrong pull path. Prevalence is quoted, never tested.
"""

import pytest
from test_scenario import SCHEMA

import swimsim
from swimsim.faults.catalogue import FaultSetting, faults
from swimsim.faults.linked import in_order, linked_sets, linked_settings
from swimsim.ground.errors import InputError
from swimsim.ground.words import causes_and_echoes
from swimsim.scenario.read import read_scenario, scenario_names
from swimsim.scenario.severity import size_of
from swimsim.teaching.cues import in_order as spoken_of
from swimsim.teaching.marks import marks_of
from swimsim.teaching.strip import strip_panels

#: Members as the sources name them, written out by hand; the first is the cause.
SETS = {
    "low_arm": ("low_elbow_recovery", "wide_entry", "thumb_first"),
    "low_arm_across": ("low_elbow_recovery", "crossover", "thumb_first"),
    "lifted_head": ("head_lift", "wide_pull"),
    "crossing_legs": ("crossover", "scissor_kick"),
}


def scenario_of(name, **size):
    return read_scenario({"breathing": {"side": "left"}, "linked": [{"set": name, **size}]})


def test_the_sets_are_those_of_the_sources():
    assert set(linked_sets()) == set(SETS)
    for name, members in SETS.items():
        assert {row["fault"] for row in linked_sets()[name]["faults"]} == set(members) <= set(faults())


@pytest.mark.parametrize("name", SETS)
def test_a_set_says_what_it_is_and_where_it_comes_from(name):
    row = linked_sets()[name]
    assert row["says"].endswith(".") and row["why"].endswith(".") and len(row["source"]) > 10
    assert all(0 < member["share"] <= 1 for member in row["faults"])
    assert row["faults"][0]["share"] == 1.0  # the cause


@pytest.mark.parametrize("name", SETS)
def test_members_come_in_the_order_of_correction_the_cause_first(name):
    settings = linked_settings(name, severity=0.7)
    assert tuple(setting.fault for setting in settings) == SETS[name]
    place = {slug: i for i, slug in enumerate(SETS[name])}
    for pair in causes_and_echoes():
        if pair.cause in place and pair.echo in place:
            assert place[pair.cause] < place[pair.echo]


def test_shares_by_hand():
    """Severity 0.5 of the set; thumb first at 0.8 of it; `clear` is 0.6."""
    by_slug = {s.fault: s for s in linked_settings("low_arm", severity=0.5, side="left")}
    assert by_slug["low_elbow_recovery"].severity == 0.5 and by_slug["thumb_first"].severity == 0.4
    assert {s.side for s in by_slug.values()} == {"left"}
    crossing = {s.fault: s for s in linked_settings("crossing_legs", word="clear", side="right")}
    assert (crossing["crossover"].severity, crossing["crossover"].side) == (0.6, "right")
    assert (crossing["scissor_kick"].severity, crossing["scissor_kick"].side) == (
        0.48,
        "both",
    )  # has no sides


def test_the_pull_widens_on_the_breath_alone():
    (head, pull) = linked_settings("lifted_head", severity=0.5)
    assert (head.strokes, pull.strokes) == ("every", "breathing")


@pytest.mark.parametrize("name", SETS)
def test_each_member_is_swum_as_large_as_it_is_set(name):
    played = swimsim.play(read_scenario(name))
    settings = played.fault.faults
    assert {setting.fault for setting in settings} == set(SETS[name])
    for setting in settings:
        size = size_of(setting, played.fault.truth, clean=played.correct.pattern, body=played.fault.body)
        assert size.severity == pytest.approx(setting.severity)
        assert size.severity_effective == pytest.approx(setting.severity, abs=0.01)
    fault, _ = marks_of(played)
    assert fault.title.startswith(faults()[SETS[name][0]].terms[0])  # the cause gives limb, number and lines
    assert strip_panels(played, settings[::-1])[0][1].title == fault.title


@pytest.mark.parametrize("name", SETS)
def test_a_set_has_a_scenario_of_its_own_and_a_place_in_the_list(name):
    assert name in scenario_names()
    assert name in {row["name"] for row in swimsim.listing("linked")}
    assert swimsim.details("linked", name)["source"] == linked_sets()[name]["source"]


def test_the_resolved_scenario_has_the_faults_and_no_set():
    scenario = scenario_of("low_arm", severity=0.5)
    assert scenario.linked == [] and [one.fault for one in scenario.fault] == list(SETS["low_arm"])
    SCHEMA.validate({"linked": [{"set": "low_arm", "word": "clear", "side": "left"}]})


def test_other_faults_come_beside_a_set_and_the_first_in_order_gives_the_view():
    keys = {"linked": [{"set": "crossing_legs", "severity": 0.3}], "breathing": {"side": "left"}}
    scenario = read_scenario({**keys, "fault": [{"fault": "head_lift", "severity": 0.4}]})
    assert [one.fault for one in scenario.fault] == ["crossover", "scissor_kick", "head_lift"]
    assert scenario.output.views == ["above_side"]  # the head is corrected first
    assert [one.fault for one in in_order(scenario.fault)] == ["head_lift", "crossover", "scissor_kick"]
    assert spoken_of is in_order


@pytest.mark.parametrize(
    ("keys", "match"),
    [
        (
            {"set": "low_am", "severity": 0.5},
            r"linked\[1\]\.set: expected low_arm.*got 'low_am'; did you mean",
        ),
        ({"set": "low_arm"}, r"linked\[1\]\.severity: expected exactly one of severity, amount and word"),
        ({"set": "low_arm", "severity": 0.5, "word": "clear"}, "exactly one of severity, amount and word"),
        ({"set": "low_arm", "amount": 3.0}, r"linked\[1\]\.amount: expected a known key"),
        ({"severity": 0.5}, r"linked\[1\]\.set: expected a value, got none"),
    ],
)
def test_a_wrong_set_is_one_clear_line(keys, match):
    with pytest.raises(InputError, match=match):
        read_scenario({"linked": [keys]})


def test_a_lifted_head_needs_a_breath():
    with pytest.raises(InputError, match="expected a swimmer who breathes"):
        read_scenario({"linked": [{"set": "lifted_head", "severity": 0.5}]})


def test_a_set_beside_one_of_its_own_faults_is_refused():
    with pytest.raises(InputError, match="faults crossover and crossover both set entry_line_m"):
        read_scenario({"linked": [{"set": "crossing_legs", "severity": 0.5}], "fault": [CROSSOVER]})


CROSSOVER = {"fault": "crossover", "severity": 0.2}


@pytest.mark.parametrize(
    ("how", "match"),
    [
        ({"severity": 0.5, "word": "clear"}, "expected exactly one of severity and word"),
        ({}, "expected exactly one of severity and word"),
        ({"word": "huge"}, "word: expected one of slight, clear, gross, got 'huge'"),
    ],
)
def test_a_wrong_size_from_python_is_refused(how, match):
    with pytest.raises(InputError, match=match):
        linked_settings("low_arm", **how)


def test_an_unknown_set_from_python_is_refused():
    with pytest.raises(InputError, match=r"linked: set: expected one of low_arm, .*got 'heavy_arm'"):
        linked_settings("heavy_arm", severity=0.5)


def test_settings_are_plain_fault_settings():
    assert all(isinstance(setting, FaultSetting) for setting in linked_settings("low_arm", word="gross"))
