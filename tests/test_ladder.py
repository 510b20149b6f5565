"""HAND-COUNTED: error against frame rate and noise, from cards made by hand; SECOND METHOD: a run of its own."""

import pytest

from swimsim.ground.errors import InputError
from swimsim.validation.design import read_design, units
from swimsim.validation.gather import gather
from swimsim.validation.ladder import ladder, rungs
from swimsim.validation.runner import read_lines, run_design
from swimsim.validation.scorecard import scorecard
from swimsim.view.ladder_plot import Steps, draw_ladder

STEPS = ("square + rate_hz=25", "square", "square + noise_px=6", "pool deck")


def score(rmse):
    return {"bias": 0.1, "sd": 0.2, "rmse": rmse, "read_share": 1.0, "n": 4, "unit": "cm"}


def card(conditions=STEPS):
    event = {"bias_s": 0.003, "sd_s": 0.004, "recall": 0.9}
    return {
        "design": {"conditions": list(conditions), "views": ["3d"]},
        "measures": {"pull_line": {text: {"3d": score(k + 1.0)} for k, text in enumerate(conditions)}},
        "events_by_view": {"entry": {text: {"3d": event} for text in conditions}},
    }


def test_the_rungs_are_what_differs_in_rate_and_noise_alone():
    assert rungs(STEPS) == {"square + rate_hz=25": (25, 2), "square": (60, 2), "square + noise_px=6": (60, 6)}


@pytest.mark.parametrize("few", [STEPS[:2], STEPS[1:], ("pool deck", *STEPS[:2]), ()])
def test_two_rungs_are_no_ladder(few):
    assert rungs(few) == {}
    assert ladder(card(few)) == {}


def test_a_ladder_has_the_error_of_every_rung():
    found = ladder(card())
    rows = found["measures"]["pull_line"]["3d"]
    assert [(row["rate_hz"], row["noise_px"], row["rmse"]) for row in rows] == [
        (25, 2, 1),
        (60, 2, 2),
        (60, 6, 3),
    ]
    event = found["events"]["entry"]["3d"][0]
    assert event["rmse_s"] == pytest.approx(0.005)  # 3, 4, 5
    assert event["rounding_s"] == pytest.approx(0.011547, abs=1e-6)  # 40 ms / sqrt(12)
    assert len(found["rungs"]) == 3


def test_an_event_that_was_never_found_has_no_error():
    bare = card()
    bare["events_by_view"]["entry"]["square"]["3d"] = {"bias_s": None, "sd_s": None, "recall": 0.0}
    assert ladder(bare)["events"]["entry"]["3d"][1]["rmse_s"] is None


def test_the_shipped_ladder_swims_clean_swimmers_alone():
    design = read_design("ladder")
    steps = rungs(design.conditions)
    assert set(steps.values()) == {(r, n) for r in (25, 60, 120, 240) for n in (0.5, 2, 6)}
    work = units(design)
    assert len(work) == design.swimmers and all(unit.clean and not unit.cells for unit in work)


def test_none_stands_alone():
    assert read_design({"faults": ["none"]}).faults == ()
    with pytest.raises(InputError, match="faults"):
        read_design({"faults": ["nothing"]})
    with pytest.raises(InputError, match="none stands for no fault at all"):
        read_design({"faults": ["none", "crossover"]})


def test_more_noise_and_fewer_frames_make_greater_errors(tmp_path):
    conditions = [
        "exact + rate_hz=120",
        "exact + rate_hz=120 + noise_px=8",
        "exact + rate_hz=30 + noise_px=8",
    ]
    design = read_design(
        {
            "name": "own",
            "swimmers": 2,
            "seed": 5,
            "faults": ["none"],
            "conditions": conditions,
            "views": ["3d"],
        }
    )
    found = scorecard(gather(read_lines(run_design(design, tmp_path, processes=1))))
    assert found["faults"] == {}
    for name, key, block in (("palm_at_hip_line", "rmse", "measures"), ("exit", "rmse_s", "events")):
        exact, noisy, slow = (row[key] for row in found["ladder"][block][name]["3d"])
        assert exact < 0.3 * noisy < 0.3 * slow


def test_a_picture_for_any_number_of_panels(tmp_path):
    import imageio.v3 as imageio

    rows = [(25.0, 2.0, 1.0), (60.0, 2.0, 0.5), (25.0, 6.0, 2.0)]
    for count in (1, 5):
        path = tmp_path / f"{count}.png"
        panels = [Steps(f"measure {i}", "cm", rows, [(25.0, 1.5), (60.0, 0.7)]) for i in range(count)]
        draw_ladder(panels, path, title="Error", beside_says="grey: whole frames")
        picture = imageio.imread(path)
        assert picture.shape[1] == 1100 and (picture[..., :3] < 250).any()
