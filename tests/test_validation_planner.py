"""HAND-COUNTED: what a camera file says, which changes are tried, and what the plan makes of the scores."""

import pytest

from swimsim.ground.errors import InputError
from swimsim.validation.planner import (
    AS_IT_IS,
    OWN,
    Setup,
    plan_design,
    plan_rows,
    plan_words,
    read_camera,
    setups,
)
from swimsim.validation.report import write_plan
from swimsim.validation.ways import condition_of
from swimsim.validation.work import ways_for


def camera(tmp_path, text):
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return read_camera(path)


def test_a_camera_is_a_condition_that_is_changed_and_a_view(tmp_path):
    text, view, place = camera(tmp_path, 'view = "front"\nlike = "pool deck"\nrate_hz = 50\nnoise_px = 3.5')
    condition = condition_of(text)
    assert (view, place) == ("front", None)
    assert (condition.rate_hz, condition.noise_px, condition.pan_deg, condition.lost_share) == (
        50,
        3.5,
        8,
        0.1,
    )


def test_a_place_of_its_own_is_taken_over(tmp_path):
    text = "position_m = [0, 4, -0.5]\naim_m = [0, 0, -0.2]\nfield_deg = 60\ntravels = false"
    _, view, place = camera(tmp_path, text)
    assert view == OWN
    assert place == {"position_m": [0, 4, -0.5], "aim_m": [0, 0, -0.2], "field_deg": 60, "travels": False}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "expected either view or position_m"),
        ('view = "frnt"', "view: got 'frnt'; did you mean 'front'"),
        ('view = "front"\nposition_m = [0, 1, 0]', "expected either view or position_m"),
        ('view = "front"\nfield_deg = 60', "expected no field_deg beside view"),
        ("position_m = [0, 1, 0]", "expected position_m, aim_m and field_deg together"),
        ('view = "front"\nrate = 60', "rate: no such setting; did you mean 'rate_hz'"),
        ('view = "front"\nrate_hz = 5', "rate_hz: expected 25 to 240, got 5"),
        ('view = "front"\nrate_hz = "fast"', "rate_hz: expected a number, got 'fast'"),
        ('view = "front"\nlike = "pol deck"', "did you mean 'pool deck'"),
        ('view = "front', "expected a TOML file"),
    ],
)
def test_a_camera_file_that_does_not_fit_is_named(tmp_path, text, says):
    with pytest.raises(InputError, match=says) as error:
        camera(tmp_path, text)
    assert all(line.startswith(str(tmp_path)) for line in str(error.value).splitlines())


def test_a_file_that_is_not_there_is_named():
    with pytest.raises(InputError, match=r"nowhere\.toml: expected a camera file, got none"):
        read_camera("nowhere.toml")


def test_each_change_moves_one_thing():
    tried = {setup.says: setup for setup in setups("pool deck + exposure_s=0.01", "side_left")}
    now = condition_of(tried[AS_IT_IS].condition)
    twice = condition_of(tried["60 frames a second"].condition)
    assert (now.rate_hz, twice.rate_hz, twice.noise_px, twice.exposure_s) == (30, 60, 6, 0.01)
    assert condition_of(tried["shutter 1/500 s"].condition).exposure_s == 0.002
    assert condition_of(tried["set up square"].condition).pan_deg == 0
    better = condition_of(tried["points twice as good"].condition)
    assert (better.noise_px, better.lost_share) == (3, 0.025)
    assert tried["view front"] == Setup("view front", tried[AS_IT_IS].condition, "front")
    assert "view side left" not in tried


def test_more_frames_come_with_a_shutter_that_fits():
    """At 30 frames the shutter may be open for 1/30 s, at 60 for 1/60 s at most; nine tenths of that are taken."""
    tried = {setup.says: setup for setup in setups("pool deck + exposure_s=0.03", "side_left")}
    assert condition_of(tried["60 frames a second"].condition).exposure_s == pytest.approx(0.015)


def test_what_is_good_already_is_not_changed():
    said = {setup.says for setup in setups("exact + rate_hz=240", "front")}
    assert said == {AS_IT_IS, "view side left", "view rear", "view above front", "view above side"}


def test_all_set_ups_see_the_same_swims():
    design, tried = plan_design("pool deck", "side_left", None)
    ways = ways_for(design, "crossover")
    assert [(way.condition, way.view) for way in ways] == [(setup.condition, setup.view) for setup in tried]
    assert ways_for(design, None) == ways


def score(auc, s50, *, not_read=0, alarms=0.0):
    return {
        "auc_clear": auc, "s50": s50, "not_read": not_read, "faulty_clips": 4, "false_alarms_per_100": alarms,
    }  # fmt: skip


CARD = {
    "faults": {
        "crossover": {"a": {"side_left": score(None, None, not_read=4), "front": score(1.0, 0.4)}},
        "early_exit": {"a": {"side_left": score(0.95, 0.3), "front": score(0.5, None, not_read=4)}},
        "flat_hips": {"a": {"side_left": score(0.6, 0.9), "front": score(0.92, 0.5)}},
    }
}
TRIED = [Setup(AS_IT_IS, "a", "side_left"), Setup("view front", "a", "front")]


def test_a_fault_is_seen_where_pairs_are_told_apart():
    now, front = plan_rows(CARD, TRIED)
    assert (now["seen"], front["seen"]) == (1, 2)
    assert now["faults"]["early_exit"] == {"seen": True, "from": 0.3, "auc": 0.95, "why": None}
    assert now["faults"]["crossover"]["why"] == "not readable"
    assert now["faults"]["flat_hips"]["why"] == "not told apart"


def test_a_detector_that_cries_wolf_sees_nothing():
    """One alarm in twelve clean swimmers is let pass, two are not."""
    for alarms, seen in ((8.3, True), (16.7, False)):
        card = {"faults": {"crossover": {"a": {"front": score(1.0, 0.2, alarms=alarms)}}}}
        (row,) = plan_rows(card, [TRIED[1]])
        assert row["faults"]["crossover"]["seen"] is seen
    assert row["faults"]["crossover"]["why"] == "false alarms"


def test_the_words_name_the_best_change_what_it_loses_and_two_together():
    words = plan_words(plan_rows(CARD, TRIED))
    assert words[:4] == [
        "Seen as the camera stands: 1 of 3 faults.",
        "What helps most: view front (2 of 3).",
        "Seen then as well: crossover, flat hips. No more: early exit.",
        "As it stands, and once more with view front: 3 of 3.",
    ]
    rest = " ".join(words[4:])
    for caution in ("consent", "parent", "permit", "cable", "tie a camera"):
        assert caution in rest


def test_nothing_helps_where_nothing_else_is_seen():
    words = plan_words(plan_rows(CARD, [TRIED[1], TRIED[0]])[:1])
    assert words[1] == "No single change that was tried lets more of them be seen."


def test_the_plan_is_left_as_table_and_picture(tmp_path):
    rows = plan_rows(CARD, TRIED)
    assert set(write_plan(rows, plan_words(rows), tmp_path)) == {path.name for path in tmp_path.iterdir()}
    lines = (tmp_path / "camera.csv").read_text(encoding="utf-8").splitlines()
    assert lines[0] == "change,fault,seen,from_severity,auc,why"
    assert "as it stands,early_exit,yes,0.30,0.95," in lines and len(lines) == 1 + 2 * 3
