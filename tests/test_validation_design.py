"""HAND-COUNTED: what a validation design says, and which swims it stands for."""

from collections import Counter

import numpy as np
import pytest

from swimsim.ground.errors import InputError
from swimsim.validation.design import Design, design_names, read_design, units
from swimsim.validation.work import ways_for


def cells(design):
    return [cell for unit in units(design) for cell in unit.cells]


def test_the_shipped_designs_can_be_read_and_swim_every_fault():
    assert {"quick", "full"} <= set(design_names())
    for name in design_names():
        design = read_design(name)
        assert design.name == name and design.says
        assert {cell.fault for cell in cells(design)} == set(design.faults)


def test_no_name_is_the_quick_one():
    assert read_design().name == "quick"


def test_a_full_plan_swims_every_cell_with_every_swimmer():
    design = Design(plan="full", swimmers=3, faults=("crossover", "flat_hips"), severities=(0.2, 0.8))
    counted = Counter((unit.swimmer, c.fault, c.severity) for unit in units(design) for c in unit.cells)
    assert len(counted) == 3 * 2 * 2 and set(counted.values()) == {1}


def test_a_fraction_deals_each_fault_as_often_as_asked_to_different_swimmers():
    design = Design(
        plan="fraction", swimmers=5, faults=("crossover",), severities=(0.2, 0.8), runs_per_fault=4
    )
    found = [(unit.swimmer, c.severity) for unit in units(design) for c in unit.cells]
    assert len({swimmer for swimmer, _ in found}) == 4
    assert sorted(severity for _, severity in found) == [0.2, 0.2, 0.8, 0.8]


def test_a_latin_plan_has_one_severity_in_each_equal_part_of_the_range():
    design = Design(
        plan="latin", swimmers=8, faults=("crossover", "flat_hips"), severities=(0.1, 0.9), runs_per_fault=8
    )
    for fault in design.faults:
        sizes = sorted(c.severity for c in cells(design) if c.fault == fault)
        assert [int((size - 0.1) / 0.1) for size in sizes] == list(range(8))


def test_the_same_seed_deals_the_same_and_another_one_differently():
    one, two = (read_design({"seed": 3}), read_design({"seed": 4}))
    assert units(one) == units(read_design({"seed": 3})) != units(two)


def test_a_unit_is_small_and_the_clean_swim_comes_once():
    design = Design(
        plan="full", swimmers=2, faults=("crossover", "flat_hips"), severities=tuple(np.linspace(0.1, 1, 5))
    )
    found = units(design, cells_each=4)
    assert [len(unit.cells) for unit in found] == [4, 4, 2, 4, 4, 2]
    assert [unit.clean for unit in found] == [True, False, False, True, False, False]
    assert len({unit.name for unit in found}) == len(found)


def test_a_fault_is_seen_from_its_best_view_and_a_clean_swimmer_from_all_of_them():
    design = read_design(
        {"faults": ["crossover", "sinking_legs"], "conditions": ["square"], "views": ["3d", "best"]}
    )
    assert [way.view for way in ways_for(design, "crossover")] == ["3d", "front"]
    assert [way.view for way in ways_for(design, None)] == ["3d", "front", "side_left"]


@pytest.mark.parametrize(
    ("keys", "says"),
    [
        ({"swimers": 3}, "swimers: unknown key; did you mean 'swimmers'"),
        ({"plan": "fll"}, "plan: got 'fll'; did you mean 'full'"),
        ({"faults": ["crosover"]}, "faults: got 'crosover'; did you mean 'crossover'"),
        ({"conditions": ["pool dec"]}, "conditions: got 'pool dec'; did you mean 'pool deck'"),
        ({"views": ["frontt"]}, "views: got 'frontt'; did you mean 'front'"),
        ({"views": []}, "views: expected a list of words"),
        ({"swimmers": 0}, "swimmers: expected a whole number 1 to"),
        ({"swimmers": True}, "swimmers: expected a whole number 1 to"),
        ({"severities": [0.5, 1.5]}, "severities: expected a list of numbers above 0 and up to 1"),
        ({"says": 3}, "says: expected text, got 3"),
    ],
)
def test_a_wrong_key_is_named_with_what_was_expected(keys, says):
    with pytest.raises(InputError, match=says):
        read_design(keys)


def test_all_wrong_keys_are_said_at_once():
    with pytest.raises(InputError, match=r"plan.*\n.*swimmers"):
        read_design({"plan": "x", "swimmers": -1})


def test_a_file_that_is_none_or_no_toml_is_named(tmp_path):
    with pytest.raises(InputError, match=r"expected a design file or one of .*; did you mean 'quick'"):
        read_design("quik")
    path = tmp_path / "mine.toml"
    path.write_text("swimmers = = 3", encoding="utf-8")
    with pytest.raises(InputError, match=r"mine\.toml: expected a TOML file"):
        read_design(path)
    path.write_text("swimmers = 3", encoding="utf-8")
    assert (read_design(path).name, read_design(path).swimmers) == ("mine", 3)
