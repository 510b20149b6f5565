"""ROUND TRIP and HAND-COUNTED: filming, the files it leaves, and measuring them through the doors."""

import json
import math

import numpy as np
import pytest

from swimsim import api
from swimsim.cli.main import run_program
from swimsim.ground.errors import InputError
from swimsim.ground.records import Measure
from swimsim.ground.seen_files import is_seen_csv, read_camera, read_seen
from swimsim.metrics import Reading, Scale, measure_seen
from swimsim.metrics.over_strokes import over_strokes
from swimsim.metrics.seen_budget import Budget, with_uncertainty

SCENARIO = "dropped_elbow"
TO_MICRO = 2e-6  # pixels are written to six decimals


@pytest.fixture(scope="module")
def filmed(tmp_path_factory):
    folder = tmp_path_factory.mktemp("film") / "filmed"
    api.film(SCENARIO, folder, condition="square", views=["side_left", "front"], seed=5)
    return folder


def seen_in(folder, name):
    camera, facts = read_camera(folder / f"{name}.json")
    return read_seen(folder / f"{name}.csv", camera, facts=facts)


def test_a_film_has_points_and_a_camera_for_both_swimmers_and_every_view(filmed):
    names = sorted(path.name for path in filmed.iterdir())
    stems = [f"{who}_{view}" for who in ("correct", "fault") for view in ("front", "side_left")]
    assert names == sorted(f"{stem}.{suffix}" for stem in stems for suffix in ("csv", "json"))
    record = json.loads((filmed / "fault_front.json").read_text())
    assert record["format"] == "swimsim.camera"
    assert record["condition"] == "square"
    assert "not a real person" in record["note"]
    assert set(record) == {
        "format", "version", "note", "rate_hz", "stature_m", "camera_speed_m_s", "condition", "camera",
    }  # fmt: skip


def test_the_files_hold_what_the_camera_gave(filmed):
    from swimsim.scenario.cameras import cameras_of, with_views
    from swimsim.view.conditions import condition_named
    from swimsim.view.seeing import see

    scenario = with_views(api.read_scenario(SCENARIO), ["front"])
    played = api.play(scenario)
    camera = cameras_of(scenario, size_px=(1920, 1080))[0]
    exact = see(played.fault.trace, camera, condition_named("square"), seed=5)
    read = seen_in(filmed, "fault_front")
    assert read.joint_names == exact.joint_names
    assert np.nanmax(np.abs(read.pixels - exact.pixels)) < TO_MICRO
    assert (np.isnan(read.pixels) == np.isnan(exact.pixels)).all()
    assert np.abs(read.confidence - exact.confidence).max() < TO_MICRO
    assert np.abs(read.camera.rotation - exact.camera.rotation).max() < 1e-12
    assert read.camera.focal_px == pytest.approx(exact.camera.focal_px, abs=1e-9)
    assert read.meta["camera_speed_m_s"] == pytest.approx(exact.meta["camera_speed_m_s"], abs=1e-12)


def test_measuring_the_file_is_measuring_what_was_seen(filmed):
    by_file = api.measure_film(filmed / "fault_side_left.csv").reading
    direct = measure_seen(seen_in(filmed, "fault_side_left"))
    for one, other in zip(by_file.measures, direct.measures, strict=True):
        assert one.measure == other.measure
        assert one.value == other.value or math.isnan(one.value)


def test_the_same_seed_makes_the_same_film_and_a_condition_may_be_made_up(tmp_path):
    for name in ("one", "two"):
        api.film(
            SCENARIO,
            tmp_path / name,
            condition={"like": "pool deck", "pan_deg": 0.0},
            views=["front"],
            seed=3,
        )
    for file in ("fault_front.csv", "fault_front.json"):
        assert (tmp_path / "one" / file).read_bytes() == (tmp_path / "two" / file).read_bytes()
    assert json.loads((tmp_path / "one" / "fault_front.json").read_text())["rate_hz"] == 30.0


def test_the_verbs_film_and_measure(tmp_path, capsys):
    out = tmp_path / "filmed"
    assert (
        run_program(["film", SCENARIO, "--condition", "pool deck", "--view", "side_left", "--out", str(out)])
        == 0
    )
    table = tmp_path / "read.csv"
    assert (
        run_program(["measure", str(out / "fault_side_left.csv"), "--scale", "body", "--out", str(table)])
        == 0
    )
    said = capsys.readouterr().out
    assert "forearm_slope_at_45" in said
    assert "needs y and z" in said
    assert "uncertainty" in said
    assert table.read_text().startswith("measure,side,cycle,breathing,value,unit,uncertainty,rule,reason\n")
    assert run_program(["measure", str(out / "fault_side_left.csv"), "--in-picture"]) == 0
    capsys.readouterr()
    assert run_program(["measure", str(out / "fault_side_left.csv"), "--spread"]) == 0
    said = capsys.readouterr().out
    assert "median" in said
    assert "forearm_slope_at_45" in said
    assert "hip_roll_peak" not in said


def test_the_exact_points_of_a_trace_folder_are_read_with_a_named_view(tmp_path):
    api.write_traces(SCENARIO, tmp_path / "traces")
    truth = json.loads((tmp_path / "traces" / "truth.json").read_text())["swimmers"]["fault"]
    width, height = api.read_scenario(SCENARIO).output.size
    known = {
        "stature_m": truth["body"]["stature_m"], "speed_m_s": truth["speed_m_s"],
        "width_px": width, "height_px": height,
    }  # fmt: skip
    file = tmp_path / "traces" / "seen_side_left.csv"
    reading = api.measure_film(file, camera="side_left", known=known).reading
    assert reading.measure("speed").value == pytest.approx(truth["speed_m_s"], abs=0.01)
    slope = next(
        m["value"] for m in truth["measures"] if m["measure"] == "forearm_slope_at_45" and m["side"] == "left"
    )
    assert reading.measure("forearm_slope_at_45", "left").value == pytest.approx(slope, abs=5)
    with pytest.raises(InputError, match=r"expected the file seen_side_left\.json beside it, or --camera"):
        api.measure_film(file)


# ---- wrong files


def write(path, text):
    path.write_text(text, encoding="utf-8")
    return path


HEAD = "time_s,nose_x_px,nose_y_px,nose_confidence"


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("time_s,nose_x_px\n0,1\n0.1,2\n", "expected x_px and y_px of every joint, got no 'nose_y_px'"),
        ("time_s,snout_x_px,snout_y_px\n0,1,2\n0.1,2,3\n", "expected joints such as nose_x_px, got 'snout'"),
        (f"{HEAD}\n0,1,2,1\n", "expected at least 2 frames, got 1"),
        (f"{HEAD}\n0,1,2,1\n0,1,2,1\n", "expected times that increase"),
        ("nose_x_px,nose_y_px\n1,2\n3,4\n", "time_s: expected times in seconds, got none; add --rate"),
        (
            f"{HEAD}\n0,1,two,1\n0.1,1,2,1\n",
            "line 2, nose_y_px: expected a number or an empty cell, got 'two'",
        ),
    ],
)
def test_a_wrong_file_of_points_says_what_is_wrong(tmp_path, filmed, text, match):
    camera, _ = read_camera(filmed / "fault_front.json")
    with pytest.raises(InputError, match=match):
        read_seen(write(tmp_path / "points.csv", text), camera)


def test_points_without_times_or_confidence_and_with_other_names(tmp_path, filmed):
    camera, _ = read_camera(filmed / "fault_front.json")
    head = "snout_x_px,snout_y_px,left_hip_x_px,left_hip_y_px"
    file = write(tmp_path / "points.csv", f"{head}\n1,2,0,0\n,,0,0\n5,6,0,0\n")
    seen = read_seen(file, camera, rate_hz=50.0, joint_map={"snout": "nose"})
    assert seen.joint_names == ("nose", "left_hip")
    assert seen.time_s.tolist() == [0.0, 0.02, 0.04]
    assert seen.confidence[:, 0].tolist() == [1.0, 0.0, 1.0]
    assert seen.pixels[2, 0].tolist() == [5.0, 6.0]


@pytest.mark.parametrize(
    ("change", "match"),
    [
        (lambda r: r.pop("camera"), "camera: expected a table of a camera, got none"),
        (lambda r: r["camera"].pop("focal_px"), "camera.focal_px: expected a value, got none"),
        (lambda r: r["camera"].update(focal=3), r"camera\.focal: no such key; did you mean 'focal_px'"),
        (lambda r: r.update(stature_m=-1), "stature_m: expected a number above 0, got -1"),
        (lambda r: r.update(camera_speed_m_s=math.nan), "camera_speed_m_s: expected a number, got nan"),
        (
            lambda r: r["camera"].update(focal_px=[math.nan, 1]),
            r"camera\.focal_px: expected two numbers above 0, got \[nan, 1\]",
        ),
        (lambda r: r["camera"].update(size_px=[-5, 0]), "size_px: expected two whole numbers above 0"),
        (lambda r: r["camera"].update(size_px=[640.5, 360]), "size_px: expected two whole numbers above 0"),
        (lambda r: r["camera"].update(centre_px=[1, 2, 3]), "centre_px: expected two numbers, got"),
        (
            lambda r: r["camera"].update(position_m=[1, "a", 2]),
            "position_m: expected three numbers in metres",
        ),
        (lambda r: r["camera"].update(rotation=[[1, 0], [0, 1]]), "rotation: expected three rows of three"),
        (lambda r: r["camera"].update(distortion=[0, 0]), "distortion: expected five numbers"),
        (lambda r: r["camera"].update(name=5), r"camera\.name: expected text, got 5"),
        (lambda r: r["camera"].update(travels=1), "travels: expected true or false, got 1"),
        (lambda r: r["camera"].update(refraction="port"), "one of none, flat_port, surface, got 'port'"),
        (lambda r: r["camera"].update(port_m=0), "port_m: expected a number above 0, got 0"),
        (
            lambda r: r["camera"].update(rotation=[[2, 0, 0], [0, 1, 0], [0, 0, 1]]),
            "not a proper rotation matrix",
        ),
    ],
)
def test_a_wrong_camera_file_says_what_is_wrong(tmp_path, filmed, change, match):
    record = json.loads((filmed / "fault_front.json").read_text())
    change(record)
    with pytest.raises(InputError, match=match):
        read_camera(write(tmp_path / "camera.json", json.dumps(record)))


def test_a_file_that_must_not_be_read_is_no_file_of_points(tmp_path, monkeypatch):
    file = write(tmp_path / "points.csv", "time_s,nose_x_px,nose_y_px\n0,1,2\n")
    assert is_seen_csv(file)

    def refuse(*args, **kwargs):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("builtins.open", refuse)
    assert not is_seen_csv(file)


def test_a_missing_or_broken_camera_file_is_named(tmp_path):
    with pytest.raises(InputError, match="expected a readable camera file"):
        read_camera(tmp_path / "none.json")
    with pytest.raises(InputError, match="expected a camera as JSON"):
        read_camera(write(tmp_path / "camera.json", "{"))
    (tmp_path / "bytes.json").write_bytes(b"\xff\xfe")
    with pytest.raises(
        InputError, match=r"bytes\.json: expected text in UTF-8, got other bytes at position 0"
    ):
        read_camera(tmp_path / "bytes.json")


def test_a_misspelt_view_gets_the_nearest(filmed):
    with pytest.raises(InputError, match=r"--camera: .*got 'side_lft'; did you mean 'side_left'"):
        api.measure_film(filmed / "fault_side_left.csv", camera="side_lft")


@pytest.mark.parametrize(
    ("known", "match"),
    [
        ({"stature_m": -2.0}, "stature_m: expected a finite number above 0, got -2"),
        ({"stature_m": math.nan}, "stature_m: expected a finite number above 0, got nan"),
        ({"speed_m_s": math.inf}, "speed_m_s: expected a finite number, got inf"),
        ({"rate_hz": 0.0}, "rate_hz: expected a finite number above 0, got 0"),
        ({"filmed_hz": -240.0}, "filmed_hz: expected a finite number above 0, got -240"),
    ],
)
def test_what_is_known_beside_the_picture_is_a_number(filmed, known, match):
    with pytest.raises(InputError, match=match):
        api.measure_film(filmed / "fault_side_left.csv", camera="side_left", known=known)


def test_a_file_of_points_is_known_by_its_header(tmp_path, filmed):
    assert is_seen_csv(filmed / "fault_front.csv")
    assert not is_seen_csv(filmed / "fault_front.json")
    assert not is_seen_csv(write(tmp_path / "trace.csv", "time_s,nose_x_m,nose_y_m,nose_z_m\n0,1,2,3\n"))
    assert not is_seen_csv(tmp_path / "nothing.csv")


def test_an_unknown_condition_leaves_no_folder(tmp_path, capsys):
    assert run_program(["film", "--condition", "deck", "--out", str(tmp_path / "out")]) == 2
    assert "pool deck" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


# ---- median and spread


def made_up(values, breathing):
    rows = [Measure("hand_depth", "left", i, v, "cm", "rule", "hand_depth") for i, v in enumerate(values)]
    return Reading((), tuple(rows), {}, {}, "", breathing={"left": breathing})


def test_median_and_spread_with_breathing_strokes_apart():
    values = [10.0, 20.0, 12.0, 22.0, math.nan, 14.0]
    found = over_strokes(made_up(values, {0: True, 1: False, 2: True, 3: False, 4: False, 5: True}))
    every, breath, rest = found
    assert (every.strokes, every.median, every.low, every.high) == (5, 14.0, 12.0, 20.0)  # 10 12 14 20 22
    assert every.sd == pytest.approx(math.sqrt((5.6**2 + 3.6**2 + 1.6**2 + 4.4**2 + 6.4**2) / 4), abs=1e-12)
    assert (breath.breathing, breath.strokes, breath.median, breath.sd) == (True, 3, 12.0, 2.0)
    assert (rest.breathing, rest.strokes, rest.median, rest.low, rest.high) == (False, 2, 21.0, 20.5, 21.5)


def test_strokes_of_one_kind_are_not_parted():
    assert [s.breathing for s in over_strokes(made_up([1.0, 2.0], {0: False, 1: False}))] == [None]
    assert math.isnan(over_strokes(made_up([1.0], {}))[0].sd)


def test_breathing_strokes_of_a_swimmer_are_told():
    from made_swimmers import made

    one = made("pace400_man", breathing=("left", 2))
    reading = api.measure_trace(one.motion.trace(60.0, 6 * one.motion.cycle_s))
    assert set(reading.breathing["left"].values()) == {True}
    assert set(reading.breathing["right"].values()) == {False}


# ---- uncertainty


def test_uncertainty_of_filming_and_strokes_add_as_squares(filmed):
    seen = seen_in(filmed, "fault_side_left")
    nothing = Budget(0.0, 0.0, 0.0, 0.0, 0.0)
    plain, still = measure_seen(seen), with_uncertainty(seen, budget=nothing)
    for name in ("hand_depth", "trunk_slope", "stroke_rate"):
        side = "left" if name == "hand_depth" else None
        assert still.measure(name, side).uncertainty == pytest.approx(
            plain.measure(name, side).uncertainty, abs=1e-6
        )
    rolled = with_uncertainty(seen, budget=Budget(0.0, 0.6, 0.0, 0.0, 0.0)).measure("trunk_slope")
    scatter = plain.measure("trunk_slope").uncertainty
    assert rolled.uncertainty == pytest.approx(
        math.hypot(scatter, 0.6), abs=0.02
    )  # a rolled picture tilts the trunk
    wide = with_uncertainty(seen, budget=Budget(0.0, 0.0, 0.05, 0.0, 0.0)).measure("entry_reach", "left")
    scatter = plain.measure("entry_reach", "left").uncertainty
    assert wide.uncertainty == pytest.approx(
        math.hypot(scatter, 0.05 * wide.value), rel=0.25
    )  # entry moves a little
    quick = with_uncertainty(seen, budget=Budget(0.0, 0.0, 0.0, 0.0, 0.02)).measure("speed")
    assert quick.uncertainty == pytest.approx(
        math.hypot(plain.measure("speed").uncertainty, 0.02 * quick.value), rel=0.02
    )


def test_a_value_without_scatter_has_no_uncertainty(filmed):
    reading = with_uncertainty(seen_in(filmed, "fault_side_left"), scale=Scale("none"))
    assert reading.measure("hand_depth", "left").uncertainty is None
    assert all(m.uncertainty is None for m in reading.measures if math.isnan(m.value))
