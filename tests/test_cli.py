"""The doors. Kinds of truth: INVARIANT (exit codes, nothing left behind, same bytes), ROUND TRIP."""

import csv
import json
import math
import re
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path

import jsonschema
import numpy as np
import pytest

import swimsim
from swimsim.cli.main import app, run_program
from swimsim.ground.conventions import CAUTION_LINE, JOINTS, MODEL_LINE
from swimsim.ground.files import read_trace
from swimsim.ground.tables import data_folder
from swimsim.ground.version import VERSION
from swimsim.scenario import leaves
from swimsim.scenario.read import scenario_names

ROOT = Path(__file__).resolve().parents[1]
VERBS = ("run", "list", "clip", "trace", "film", "measure", "cost", "validate", "doctor")
MEASURES_HEAD = "swimmer,measure,side,cycle,set,truth,recovered,error,unit,rule,reason"
SMALL = '[output]\nsize = [320, 180]\nviews = ["front"]\nseconds = 0.5\nfps = 30\n'
NANOMETRE = 1e-9
ROUNDED_MM = 1e-6  # metres to millimetres and back round in the last bits; events sit on steep curves


@pytest.fixture(scope="module")
def ran(tmp_path_factory):
    """Folder that `swimsim run` left for a small early exit."""
    folder = tmp_path_factory.mktemp("run")
    (folder / "small.toml").write_text('[[fault]]\nfault = "early_exit"\nseverity = 0.7\n' + SMALL)
    assert run_program(["run", str(folder / "small.toml"), "--out", str(folder / "out")]) == 0
    return folder / "out"


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


def columns(path):
    with open(path, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


# ---- what a run leaves


def test_a_run_leaves_what_is_promised_and_nothing_else(ran):
    promised = (
        "side_by_side.mp4 side_by_side.vtt side_by_side_stick.mp4 side_by_side_stick.vtt review.mp4 review.vtt "
        "film_strip.png stills fault.npz correct.npz fault.csv correct.csv seen_front.csv truth.json "
        "measures.csv scenario.toml README.txt"
    )
    assert sorted(path.name for path in ran.iterdir()) == sorted(promised.split())
    events = ("1_entry", "2_start_backward", "3_shoulder_plane", "4_end_backward", "5_exit")
    pictures = sorted(path.name for path in (ran / "stills").iterdir())
    assert pictures == sorted(f"{event}.{suffix}" for event in events for suffix in ("png", "svg"))
    for path in ran.rglob("*"):
        assert path.is_dir() or leaves.is_ours(path.relative_to(ran).as_posix())
    assert [path.name for path in ran.parent.iterdir() if path.name.startswith(".")] == []


def test_the_truth_fits_its_schema(ran):
    schema = json.loads((data_folder("shared") / "truth.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    truth = json.loads((ran / "truth.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(truth)
    fault, correct = truth["swimmers"]["fault"], truth["swimmers"]["correct"]
    assert list(fault) == list(correct)
    assert [f["fault"] for f in fault["faults"]] == ["early_exit"]
    assert correct["faults"] == []
    assert "NaN" not in (ran / "truth.json").read_text(encoding="utf-8")


def test_the_truth_says_its_axes_orders_its_events_and_names_every_unit(ran):
    truth = json.loads((ran / "truth.json").read_text(encoding="utf-8"))
    assert truth["axes"] == "x forward, y left, z up; z=0 surface; t=0 right entry"
    rank = ["entry", "start_backward", "shoulder_plane", "end_backward", "exit"]
    for swimmer in truth["swimmers"].values():
        events = swimmer["events"]
        placed = [(round(e["time_s"], 9), rank.index(e["event"]), e["side"]) for e in events]
        assert placed == sorted(placed)
        assert [e["event"] for e in events[:2]] == [
            "entry",
            "shoulder_plane",
        ]  # both at time 0 in this stroke
        for name, value in swimmer["pattern"].items():
            counted = name in ("breathing_every", "kick_beats", "period_cycles") or isinstance(value, str)
            assert counted or name.endswith(("_deg", "_m", "_s", "_share", "_ratio", "_per_min")), name
        assert {"roll_hip_roll_dip_ratio", "roll_hip_split_ratio"} <= set(swimmer["pattern"])


def test_the_truth_schema_is_strict(ran):
    schema = json.loads((data_folder("shared") / "truth.schema.json").read_text(encoding="utf-8"))
    check = jsonschema.Draft202012Validator(schema).is_valid
    truth = json.loads((ran / "truth.json").read_text(encoding="utf-8"))
    swimmer = truth["swimmers"]["fault"]
    assert check(truth)
    for broken in (
        {**truth, "extra": 1},
        {**truth, "version": 2},
        {**truth, "axes": "x forward, y right, z down"},
        {**truth, "swimmers": {"fault": swimmer}},
        {**truth, "swimmers": {"fault": swimmer, "correct": swimmer}},
        {
            **truth,
            "swimmers": {"fault": {**swimmer, "cycle_s": None}, "correct": truth["swimmers"]["correct"]},
        },
    ):
        assert not check(broken)
    measure = {**swimmer["measures"][0], "value": None, "reason": None}
    silent = {**swimmer, "measures": [measure]}
    assert not check({**truth, "swimmers": {**truth["swimmers"], "fault": silent}})


@pytest.mark.parametrize("name", ["fault", "correct"])
def test_npz_and_csv_hold_the_same_six_cycles_or_more(ran, name):
    truth = json.loads((ran / "truth.json").read_text(encoding="utf-8"))["swimmers"][name]
    npz, text = read_trace(ran / f"{name}.npz"), read_trace(ran / f"{name}.csv")
    assert npz.joint_names == JOINTS
    np.testing.assert_allclose(npz.joints_m, text.joints_m, rtol=0, atol=NANOMETRE)
    assert not np.isnan(npz.joints_m).any()
    assert npz.time_s[-1] >= 6 * truth["cycle_s"]
    assert truth["rate_hz"] == npz.rate_hz
    assert npz.meta["note"] == MODEL_LINE


def test_measures_table_has_the_promised_columns(ran):
    first = (ran / "measures.csv").read_text(encoding="utf-8").split("\n", 1)[0]
    assert first == MEASURES_HEAD
    rows = columns(ran / "measures.csv")
    assert {row["swimmer"] for row in rows} == {"fault", "correct"}
    assert all(row["recovered"] or row["reason"] for row in rows)
    main = [r for r in rows if r["measure"] == "exit_past_hip" and r["cycle"] == ""]
    assert len(main) == 4
    assert all(r["set"] and r["truth"] and r["recovered"] for r in main)


def test_the_readme_names_every_file_and_says_it_is_a_model(ran):
    text = (ran / "README.txt").read_text(encoding="utf-8")
    for path in ran.iterdir():
        assert path.name == "README.txt" or path.name in text
    assert MODEL_LINE in text
    assert CAUTION_LINE in text


def test_the_resolved_scenario_gives_the_same_bytes_again(ran, here):
    assert run_program(["run", str(ran / "scenario.toml"), "--out", "again"]) == 0
    for name in ("fault.npz", "correct.csv", "seen_front.csv", "truth.json", "measures.csv", "scenario.toml"):
        assert (here / "again" / name).read_bytes() == (ran / name).read_bytes(), name


def test_a_run_replaces_its_own_folder_and_no_other(here, capsys):
    (here / "small.toml").write_text(SMALL)
    assert run_program(["trace", "small.toml", "--out", "t"]) == 0
    assert run_program(["trace", "small.toml", "--out", "t"]) == 0
    (here / "t" / "notes.txt").write_text("mine")
    assert run_program(["trace", "small.toml", "--out", "t"]) == 2
    assert "notes.txt" in capsys.readouterr().err
    assert run_program(["trace", "small.toml", "--out", "t", "--force"]) == 0
    assert (here / "t" / "notes.txt").read_text() == "mine"


@pytest.mark.slow
@pytest.mark.parametrize("name", scenario_names())
def test_every_ready_to_run_scenario_plays(here, name):
    assert run_program(["trace", name, "--out", "t"]) == 0
    truth = json.loads((here / "t" / "truth.json").read_text(encoding="utf-8"))
    assert len(truth["swimmers"]["fault"]["faults"]) <= 3


def test_a_run_leaves_out_what_the_scenario_does_not_want(here):
    (here / "less.toml").write_text(SMALL + "stick = false\nreview = false\n")
    assert run_program(["run", "less.toml", "--out", "less"]) == 0
    names = {path.name for path in (here / "less").iterdir()}
    assert "side_by_side.mp4" in names
    assert not {name for name in names if "stick" in name or "review" in name}
    assert "review" not in (here / "less" / "README.txt").read_text(encoding="utf-8")


def test_a_run_in_sticks_needs_no_second_clip_in_sticks(here):
    (here / "sticks.toml").write_text(SMALL + 'review = false\n[figure]\nstyle = "stick"\n')
    assert run_program(["run", "sticks.toml", "--out", "sticks"]) == 0
    assert not [path.name for path in (here / "sticks").iterdir() if "stick" in path.name]


def test_the_truth_tells_what_bends_the_light_and_its_pixels_follow(here):
    """By hand (Snell, small angles): behind a flat port a camera sees in water 1.33 times larger than in air.

    Named cameras are set so that the swimmer is as large as without, so here the camera is one's own.
    """
    place = "position_m = [0.6, 4.0, -0.4]\naim_m = [0.6, 0.0, -0.4]\nfield_deg = 60.0\n"
    kinds = {"plain": "", "port": 'refraction = "flat_port"\nport_m = 0.001\n'}
    for name, keys in kinds.items():
        (here / f"{name}.toml").write_text(f"[[camera]]\n{place}{keys}{SMALL.replace('front', 'camera_1')}")
        assert run_program(["trace", f"{name}.toml", "--out", name]) == 0
    cameras = [
        json.loads((here / name / "truth.json").read_text(encoding="utf-8"))["cameras"][0] for name in kinds
    ]
    assert [(c["refraction"], c["port_m"]) for c in cameras] == [("none", None), ("flat_port", 0.001)]
    plain, port = (
        np.array(
            [
                [float(r["pelvis_x_px"]), float(r["pelvis_y_px"])]
                for r in columns(here / name / "seen_camera_1.csv")
            ]
        )
        for name in kinds
    )
    middle = np.array(cameras[0]["centre_px"])
    scale = np.linalg.norm(port - middle, axis=1) / np.linalg.norm(plain - middle, axis=1)
    assert scale == pytest.approx(np.full(len(scale), 1.33), abs=0.02)  # off the axis by up to ten degrees


# ---- help, version, examples


@pytest.mark.parametrize("verb", VERBS)
def test_every_help_ends_with_an_example_that_works_as_typed(here, capsys, verb, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    assert run_program([verb, "--help"]) == 0
    text = capsys.readouterr().out
    example = text.strip().splitlines()[-1].strip()
    assert example.startswith("Example: swimsim ")
    for command in example.removeprefix("Example: ").split(" && "):
        program, *arguments = shlex.split(command)
        assert program == "swimsim"
        assert run_program(arguments) == 0, command


def test_the_verbs_are_these():
    assert sorted(command.name for command in app.registered_commands) == sorted(VERBS)


def test_version_is_that_of_the_project(capsys):
    assert run_program(["--version"]) == 0
    assert capsys.readouterr().out == f"swimsim {VERSION}\n"
    assert (
        tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["version"]
        == VERSION
        == swimsim.__version__
    )


@pytest.mark.parametrize(
    "what", ["faults", "drills", "views", "measures", "presets", "swimmers", "scenarios", "safety", "linked"]
)
def test_every_list_gives_lines_that_work_as_typed(here, capsys, what):
    rows = swimsim.listing(what)
    assert rows
    assert run_program(["list", what]) == 0
    printed = capsys.readouterr().out
    for row in rows:
        assert row["name"] in printed
        assert row["says"]
        assert run_program(["list", what, row["name"]]) == 0
        program, verb, *_ = shlex.split(row["type"])
        assert (program, verb in VERBS) == ("swimsim", True)


@pytest.mark.parametrize(
    ("fault", "clean", "gross"),
    [
        ("dropped_elbow", "70 deg", "25 deg"),
        ("early_exit", "7.6 cm", "-25 cm"),  # 4.2 % of 1.80 m
        ("shoulder_driven", "7 %", "25 %"),
        ("double_bump", "0 %", "30 %"),
    ],
)
def test_a_listed_fault_tells_its_sizes(capsys, fault, clean, gross):
    assert run_program(["list", "faults", fault]) == 0
    assert (
        f"clean: {clean}\ngross: {gross}\nsizes are those of: pace400_man, 1.8 m tall"
        in capsys.readouterr().out
    )


@pytest.mark.parametrize(
    ("fault", "lines"),
    [
        ("scissor_kick", ["correct first: over_rotation, crossover", "crossover (swimsim clip crossing_legs)"]),
        ("knee_kick", ["correct first: head_lift"]),  # as the fault that it is a part of
        ("over_rotation", ["may bring: crossover, scissor_kick"]),
        ("thumb_first", ["correct first: low_elbow_recovery", "+ wide_entry (swimsim clip low_arm)"]),
        ("head_lift", ["may bring: sinking_legs", "often seen with: wide_pull (swimsim clip lifted_head)"]),
    ],
)  # fmt: skip
def test_a_listed_fault_tells_what_is_corrected_first_and_what_goes_with_it(capsys, fault, lines):
    """The order of correction and the linked sets, as a coach has them (common practice; Virag et al. 2014)."""
    assert run_program(["list", "faults", fault]) == 0
    printed = capsys.readouterr().out
    assert all(line in printed for line in lines)
    assert "correct first: \n" not in printed and "may bring: \n" not in printed


def test_a_fault_without_a_cause_or_a_set_has_no_such_line(capsys):
    assert run_program(["list", "faults", "palm_in_finish"]) == 0
    assert not re.search(r"^(correct first|may bring|often seen with)", capsys.readouterr().out, re.M)


def test_the_readme_gives_the_sizes_that_are_listed(capsys):
    """Whole numbers, halves upwards: from clean to gross of every fault."""
    text = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| `(\w+)` \|.*\| (-?\d+) to (-?\d+) (?:%|cm|deg)[^|]*\| \w+ \|$", text, re.M)
    assert len(rows) == 18
    for fault, clean, gross in rows:
        assert run_program(["list", "faults", fault]) == 0
        said = re.search(r"^clean: (\S+) .*\ngross: (\S+) ", capsys.readouterr().out, re.M).groups()
        assert [math.floor(float(number) + 0.5) for number in said] == [int(clean), int(gross)], fault


def test_a_fault_on_the_breath_only_has_sizes_of_its_own(capsys):
    assert run_program(["list", "faults", "wide_pull"]) == 0
    words = r"on the breath only: pull_line_breathing_difference: clean 0 cm, gross \d+\.\d cm"
    assert re.search(words, capsys.readouterr().out)


def test_the_package_imports_light():
    code = (
        "import sys, swimsim; from swimsim.cli import main\n"
        "heavy = {'scipy', 'matplotlib', 'cv2', 'PIL', 'imageio', 'pydantic.main', 'numpy'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert found.stdout.strip() == "[]"


# ---- errors: one line, the right code, nothing left behind


def said(capsys):
    text = capsys.readouterr().err
    assert "Traceback" not in text
    assert all(line.startswith("swimsim: ") for line in text.splitlines())
    return text


BROKEN_COMMANDS = [
    ([], "expected a verb"),
    (["rum"], r"No such command 'rum'.*'run'"),
    (["zzz"], r"No such command 'zzz'.*Known: .*run, list"),
    (["run", "--ot", "x"], r"No such option: --ot.*--out"),
    (["run", "wide_enty"], "wide_enty: expected a scenario file.*did you mean 'wide_entry'"),
    (["run", "a", "b"], "unexpected extra argument"),
    (["list", "fautls"], "list: expected faults, drills, views.*got 'fautls'; did you mean 'faults'"),
    (["list", "faults", "dropped_elbw"], "got 'dropped_elbw'; did you mean 'dropped_elbow'"),
    (
        ["clip", "--out", "x.avi"],
        r"x.avi: output: expected a file name ending in .mp4, .webm or .gif, got 'x.avi'",
    ),
    (["clip", "--view", "frnt"], "--view: expected a known view, got 'frnt'; did you mean 'front'"),
    (["clip", "--out", "no/such/x.gif"], "output: expected an existing folder"),
    (["measure"], "Missing argument 'FILE'"),
    (["measure", "."], r"\.: expected a trace file, got a folder"),
    (
        ["measure", "bad.csv", "--unit", "furlong"],
        "--unit: expected m, cm or mm, got 'furlong'; known: cm, m, mm",
    ),
    (["measure", "none.npz"], "none.npz: expected a readable file"),
    (["measure", "bad.csv"], "bad.csv: .*expected"),
    (["measure", "bad.csv", "--rate", "fast"], "Invalid value for '--rate'"),
    (["measure", "bad.csv", "--axes", "x,z,y"], "--axes: expected a right-handed choice"),
    (["measure", "bad.csv", "--out", "bad.csv"], "got the trace itself"),
    (["measure", "bad.csv", "--out", "x.txt"], "ending in .csv or .json"),
    (["trace", "bad.toml"], "bad.toml: expected TOML"),
    (["trace", "--out", "bad.csv"], "expected a folder, got a file"),
]


@pytest.mark.parametrize(
    ("arguments", "match"), BROKEN_COMMANDS, ids=[" ".join(a) for a, _ in BROKEN_COMMANDS]
)
def test_wrong_input_is_one_line_code_2_and_leaves_nothing(here, capsys, arguments, match):
    (here / "bad.csv").write_text("time_s,nose_x\n0,a\n")
    (here / "bad.toml").write_text("title = \n")
    assert run_program(arguments) == 2
    assert re.search(match, said(capsys))
    assert sorted(path.name for path in here.iterdir()) == ["bad.csv", "bad.toml"]


def test_a_stroke_that_no_body_can_swim_leaves_nothing(here, capsys, monkeypatch):
    from swimsim.ground.errors import UnreachableError
    from swimsim.scenario import play

    def unreachable(*_, **__):
        raise UnreachableError("left arm: hand_depth_m: expected 0.3 to 0.7")

    monkeypatch.setattr(play, "solve", unreachable)
    (here / "deep.toml").write_text("[stroke]\nhand_depth_m = 1.1\n")
    assert run_program(["run", "deep.toml"]) == 2
    assert "deep.toml: left arm: hand_depth_m" in said(capsys)
    assert [path.name for path in here.iterdir()] == ["deep.toml"]


def test_an_error_nobody_foresaw_is_still_one_line(here, capsys, monkeypatch):
    from swimsim import api

    def broken(*_, **__):
        raise ZeroDivisionError("oh\nno")

    monkeypatch.setattr(api, "listing", broken)
    assert run_program(["list", "faults"]) == 3
    assert "unexpected: ZeroDivisionError: oh no" in said(capsys)


def test_a_stopped_run_leaves_nothing(here, capsys, monkeypatch):
    from swimsim.scenario import trace_leaves

    def stopped(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(trace_leaves, "write_json", stopped)
    assert run_program(["trace"]) == 130
    assert "stopped; nothing half-written was left" in said(capsys)
    assert list(here.iterdir()) == []


@pytest.mark.parametrize("at", ["drawing the clip in sticks", "drawing the review", "drawing the stills"])
def test_a_run_stopped_while_it_draws_leaves_nothing(here, at):
    (here / "small.toml").write_text(SMALL)

    def stop(text, done, total):
        if text == at:
            raise KeyboardInterrupt("enough")

    with pytest.raises(KeyboardInterrupt, match="enough"):
        swimsim.run("small.toml", "out", progress=stop)
    assert [path.name for path in here.iterdir()] == ["small.toml"]


def test_doctor_says_what_is_missing(capsys, monkeypatch):
    from swimsim.ground.errors import MachineError
    from swimsim.view import writer

    def missing():
        raise MachineError("moving pictures need a video writer")

    monkeypatch.setattr(writer, "ffmpeg_path", missing)
    assert run_program(["doctor"]) == 3
    text = capsys.readouterr().out
    for kind in ("MP4", "WebM", "GIF"):
        words = rf"{kind} clips +NO +moving pictures need a video writer +pip install imageio-ffmpeg"
        assert re.search(words, text)


def test_doctor_says_what_the_extra_for_detectors_lacks_and_is_content(capsys, monkeypatch):
    from importlib import metadata

    known = metadata.version

    def version(name):
        if name == "statsmodels":
            raise metadata.PackageNotFoundError(name)
        return known(name)

    assert run_program(["doctor"]) == 0
    assert re.search(r"extra validate +yes +scikit-learn [\d.]+, statsmodels", capsys.readouterr().out)
    monkeypatch.setattr(metadata, "version", version)
    assert run_program(["doctor"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert (
        "extra validate yes statsmodels not installed, needed by `swimsim validate` alone: python -m pip"
        in text
    )
    assert "'.[validate]' (in the project's folder)" in text


def test_doctor_tells_an_encoder_without_one_kind_of_clip(capsys, monkeypatch):
    from swimsim.view import writer

    made = writer._webm_command
    monkeypatch.setattr(
        writer,
        "_webm_command",
        lambda *a, **k: [word.replace("libvpx-vp9", "no_such_encoder") for word in made(*a, **k)],
    )
    assert run_program(["doctor"]) == 3
    text = capsys.readouterr().out
    assert re.search(r"WebM clips +NO .*no_such_encoder", text, flags=re.S)
    assert re.search(r"MP4 clips +yes", text)
    assert len(re.findall(r" NO ", text)) == 1


def test_doctor_tells_fonts_and_drawing_that_do_not_work(capsys, monkeypatch):
    from swimsim.view import lettering, strokes

    def broken(*_, **__):
        raise OSError("cannot open resource")

    monkeypatch.setattr(lettering, "alpha", broken)
    monkeypatch.setattr(strokes.Shapes, "draw", lambda *_: None)
    assert run_program(["doctor"]) == 3
    text = capsys.readouterr().out
    assert re.search(r"fonts +NO +cannot open resource +pip install matplotlib pillow", text)
    assert re.search(r"drawing +NO +a filled shape by OpenCV +pip install opencv-python-headless", text)


# ---- measuring a trace from elsewhere


def test_a_turned_and_renamed_trace_measures_the_same(ran, here, capsys):
    trace = read_trace(ran / "fault.npz")
    theirs = {f"J{i}": name for i, name in enumerate(JOINTS)}
    turned = (
        np.stack([trace.joints_m[..., 1], -trace.joints_m[..., 0], trace.joints_m[..., 2]], axis=-1) * 1000
    )
    np.savez(here / "theirs.npz", joints_m=turned, joint_names=np.array(list(theirs)), time_s=trace.time_s)
    (here / "map.toml").write_text("".join(f'{a} = "{b}"\n' for a, b in theirs.items()))
    options = ["--axes", "-y,x,z", "--unit", "mm", "--map", "map.toml"]
    assert run_program(["measure", "theirs.npz", *options, "--out", "theirs.json"]) == 0
    assert run_program(["measure", str(ran / "fault.npz"), "--out", "ours.json"]) == 0
    a, b = (json.loads((here / name).read_text())["measures"] for name in ("theirs.json", "ours.json"))
    for one, other in zip(a, b, strict=True):
        assert one["measure"] == other["measure"]
        if other["value"] is None:
            assert (one["value"], one["reason"]) == (None, other["reason"])
        else:
            assert one["value"] == pytest.approx(other["value"], rel=ROUNDED_MM, abs=ROUNDED_MM)


def test_missing_joints_are_named_once(ran, here, capsys):
    trace = read_trace(ran / "fault.npz")
    keep = [i for i, name in enumerate(JOINTS) if "eye" not in name]
    names = np.array([JOINTS[i] for i in keep])
    np.savez(here / "part.npz", joints_m=trace.joints_m[:, keep], joint_names=names, time_s=trace.time_s)
    assert run_program(["measure", "part.npz"]) == 0
    assert capsys.readouterr().out.count("missing joints: left_eye, right_eye") == 1
