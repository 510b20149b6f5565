"""HAND-COUNTED: other people's detectors, each in a process of its own; a crash or a hang is a miss and no more."""

import contextlib
import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from swimsim.detectors import detect
from swimsim.ground.errors import InputError
from swimsim.ground.records import Seen, Trace
from swimsim.metrics import Reading
from swimsim.validation.judges import JudgeSpec, OwnJudge, findings_from, make_judge

EXAMPLE = Path(__file__).resolve().parents[1] / "gallery" / "my_detector.sh"

READING = Reading((), (), {}, {}, "by hand")
TRACE = Trace(np.arange(5) / 50, np.full((5, 1, 3), 0.25), ("left_wrist",), 50.0)
DETECTOR = '''
import os, subprocess, sys, time

def find(data):
    print("a line that must not disturb anything")
    return [{"fault": "crossover", "present": bool(data.joints_m[0, 0, 0] > 0), "severity": 0.5, "score": 2.0}]

def raises(data):
    raise RuntimeError("no such luck")

def ends(data):
    os._exit(3)

def hangs(data):
    subprocess.Popen(["sleep", "47"])
    time.sleep(60)

def nothing_said(data):
    pass

def depth(data):
    return {}["depth"]

def wrong(data):
    return [{"fault": "crossover", "present": "yes"}]

def moody(data):
    """Ends its process on a clip of six frames, answers all others."""
    if len(data.time_s) == 6:
        os._exit(1)
    return find(data)
'''


@pytest.fixture(scope="module")
def detector(tmp_path_factory):
    path = tmp_path_factory.mktemp("detector") / "mine.py"
    path.write_text(DETECTOR, encoding="utf-8")
    return path


def judged(name, *, limit=20.0, clips=(TRACE,)):
    judge = make_judge(JudgeSpec(name, limit))
    try:
        return [(judge(clip, READING), judge.failure) for clip in clips]
    finally:
        judge.close()


def test_a_callable_in_a_file_is_asked_clip_after_clip(detector):
    answers = judged(f"{detector}:find", clips=(TRACE, TRACE))
    assert len(answers) == 2
    for findings, failure in answers:
        assert failure is None and len(findings) == 1
        assert (findings[0].fault, findings[0].side, findings[0].present) == ("crossover", "both", True)
        assert (findings[0].severity, findings[0].score) == (0.5, 2.0)


@pytest.mark.parametrize(
    ("function", "why"),
    [
        ("raises", "RuntimeError: no such luck"),
        ("ends", "ended"),
        ("nothing_said", "nothing_said returned None, expected a list of findings"),
        ("depth", "KeyError: 'depth' (mine.py:22)"),
        ("wrong", "present: expected true or false, got 'yes'"),
    ],
)
def test_what_goes_wrong_is_a_miss_with_its_reason(detector, function, why):
    findings, failure = judged(f"{detector}:{function}")[0]
    assert findings == () and why in failure


def test_a_hang_is_ended_after_the_time_limit(detector):
    findings, failure = judged(f"{detector}:hangs", limit=0.3)[0]
    assert findings == () and failure == "no answer in 0.3 s"
    assert not processes("sleep", "47")  # nor does anything live on that it had started


def processes(*words):
    """Ids of the processes with these words, by the kernel's own list."""
    line = "\0".join(words).encode() + b"\0"
    found = []
    for path in Path("/proc").glob("[0-9]*/cmdline"):
        with contextlib.suppress(OSError):
            found += [path.parent.name] * (path.read_bytes() == line)
    return found


def test_what_a_detector_prints_is_kept_and_stands_in_no_way(detector, capfd):
    judge = make_judge(JudgeSpec(f"{detector}:find", 20.0))
    try:
        judge(TRACE, READING)
        assert judge.said == "a line that must not disturb anything\n"
    finally:
        judge.close()
    assert capfd.readouterr().out == ""


def test_a_changed_file_has_another_hash_and_so_has_one_beside_it(tmp_path):
    main, helper = tmp_path / "d.py", tmp_path / "beside_d.py"
    main.write_text("import beside_d\ndef find(data):\n    return []\n", encoding="utf-8")
    hashes = []
    for number in (1, 1, 2):
        helper.write_text(f"LIMIT = {number}\n", encoding="utf-8")
        judge = make_judge(JudgeSpec(f"{main}:find"))
        judge.close()
        hashes.append(judge.files)
    assert hashes[0] == hashes[1] != hashes[2]


def test_the_hash_of_a_command_is_that_of_the_files_it_names(tmp_path):
    script, hashes = tmp_path / "d.sh", []
    for text in ("exit 0", "exit 0", "exit 1"):
        script.write_text(text, encoding="utf-8")
        hashes.append(make_judge(JudgeSpec(f"sh {script} {{in}} {{out}}")).files)
    assert hashes[0] == hashes[1] != hashes[2]


def test_after_a_crash_the_next_clip_is_judged_again(detector):
    bad = Trace(np.arange(6) / 50, np.full((6, 1, 3), 0.25), ("left_wrist",), 50.0)
    answers = judged(f"{detector}:moody", clips=(TRACE, bad, TRACE))
    assert [failure is None for _, failure in answers] == [True, False, True]
    assert [len(findings) for findings, _ in answers] == [1, 0, 1]


def test_a_module_on_the_path_can_be_named(detector, monkeypatch):
    monkeypatch.syspath_prepend(str(detector.parent))
    assert judged("mine:find")[0][1] is None


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("{file}:nothing", "has no 'nothing'"),
        ("{file}x.py:find", "No such file"),
        ("nonsense", "expected FILE.py:FUNCTION"),
    ],
)
def test_a_detector_that_is_not_there_is_refused_at_once(detector, name, why):
    with pytest.raises(InputError, match=f"cannot be started: .*{why}"):
        make_judge(JudgeSpec(name.replace("{file}", str(detector))))


COMMAND = """
import csv, json, sys
rows = list(csv.reader(line for line in open(sys.argv[1]) if not line.startswith("#")))
json.dump({"findings": [{"fault": "early_exit", "side": "left", "present": len(rows) == 6}]}, open(sys.argv[2], "w"))
"""


def test_a_command_reads_our_file_and_writes_its_findings(tmp_path):
    script = tmp_path / "with space.py"
    script.write_text(COMMAND, encoding="utf-8")
    findings, failure = judged(f"'{sys.executable}' '{script}' {{in}} {{out}}")[0]
    assert failure is None
    assert (findings[0].fault, findings[0].side, findings[0].present) == (
        "early_exit",
        "left",
        True,
    )  # head and 5 frames
    assert findings[0].score == 1.0  # no score and no severity: sure of it


@pytest.mark.parametrize(
    ("code", "why"),
    [
        ("import sys; sys.exit('broken')", "exit code 1: broken"),
        ("pass", "the command left no {out} file"),
        (
            "import sys; open(sys.argv[2], 'w').write('no json')",
            "findings.json is not JSON; begins 'no json'",
        ),
        ("import sys; open(sys.argv[2], 'w')", "findings.json is not JSON; it is empty"),
        ("import sys; open(sys.argv[2], 'w').write('null')", "findings.json returned None, expected a list"),
        ("\n{}['depth']", "exit code 1: KeyError: 'depth' (d.py:2)"),
        ("import sys; sys.exit('cannot read ' + sys.argv[1])", "exit code 1: cannot read {in}"),
        ("import time; time.sleep(60)", "no answer in 1 s"),
    ],
)
def test_a_command_that_goes_wrong_is_a_miss_with_its_reason(tmp_path, code, why):
    script = tmp_path / "d.py"
    script.write_text(code, encoding="utf-8")
    findings, failure = judged(f"{sys.executable} {script} {{in}} {{out}}", limit=1.0)[0]
    assert findings == () and why in failure


def test_a_command_needs_a_place_to_write_to():
    with pytest.raises(InputError, match=r"got no \{out\}"):
        make_judge(JudgeSpec("cat {in}"))
    with pytest.raises(InputError, match=r"got no \{in\}"):
        make_judge(JudgeSpec("cat {out}"))
    with pytest.raises(InputError, match="no such command 'nosuchcommand'"):
        make_judge(JudgeSpec("nosuchcommand {in} {out}"))
    with pytest.raises(InputError, match=r"no such file 'nosuch\.py'"):
        make_judge(JudgeSpec(f"{sys.executable} nosuch.py {{in}} {{out}}"))


def test_a_hanging_command_ends_with_all_that_it_started(tmp_path):
    script = tmp_path / "d.sh"
    script.write_text("sleep 46 &\nsleep 48\n", encoding="utf-8")
    findings, failure = judged(f"sh {script} {{in}} {{out}}", limit=1.0)[0]
    assert findings == () and failure == "no answer in 1 s"
    assert not processes("sleep", "46") and not processes("sleep", "48")


def test_a_command_gets_the_camera_beside_the_points_of_a_view(tmp_path):
    """The camera file that it was given is read back by the door of `swimsim measure`."""
    from swimsim.ground.seen_files import read_camera
    from swimsim.view.cameras import named_camera

    camera = named_camera("side_left", 1.7, size_px=(1920, 1080))
    seen = Seen(
        np.arange(3) / 50, np.ones((3, 1, 2)), np.ones((3, 1)), ("nose",), camera, 50.0, {"stature_m": 1.7}
    )
    kept, script = tmp_path / "kept.json", tmp_path / "d.sh"
    script.write_text(f'cp "${{1%.csv}}.json" {kept} && echo "[]" > "$2"\n', encoding="utf-8")
    (_, failure), (_, in_space) = judged(f"sh {script} {{in}} {{out}}", clips=(seen, TRACE))
    assert failure is None and "exit code 1" in in_space  # points in space have no camera
    found, facts = read_camera(kept)
    assert (found.name, facts["stature_m"], facts["rate_hz"]) == ("side_left", 1.7, 50.0)


@pytest.mark.parametrize(
    ("answer", "why"),
    [
        (3, "returned 3, expected a list of findings"),
        (None, "returned None, expected a list of findings"),
        ({"found": []}, "a mapping with found, expected a list of findings, or 'findings'"),
        ([3], "expected a mapping, got 3"),
        (
            [{"fault": "crossover", "presnt": True}],
            "present: expected true or false, got None; it has 'presnt' instead",
        ),
        ([{"name": "crossover", "present": True}], "fault: expected the name of a fault, got none"),
        ([{"fault": "crossover", "present": True, "side": "up"}], "expected left, right or both, got 'up'"),
        (
            [{"fault": "crossover", "present": True, "severity": "much"}],
            "severity: expected a number, got 'much'",
        ),
    ],
)
def test_an_answer_that_does_not_fit_is_named(answer, why):
    with pytest.raises(InputError, match=why):
        findings_from(json.loads(json.dumps(answer)))


def test_one_unknown_name_leaves_the_other_findings_of_the_clip():
    notes = []
    good = {"fault": "crossover", "present": True, "sevrity": 0.4}
    found = findings_from([{"fault": "crosover", "present": "yes"}, good], notes=notes)
    assert [f.fault for f in found] == ["crossover"]
    assert "unknown fault 'crosover'; did you mean 'crossover'?" in notes[0]
    assert "finding has no 'sevrity'; did you mean 'severity'?" in notes[1] and len(notes) == 2


def test_a_severity_in_percent_is_spoken_of():
    notes = []
    assert (
        findings_from([{"fault": "crossover", "present": True, "severity": 35}], notes=notes)[0].severity
        == 35
    )
    assert notes == ["finding crossover: severity: expected 0 (none) to 1 (gross), got numbers outside"]


def test_a_score_that_is_no_number_is_spoken_of():
    notes = []
    (found,) = findings_from([{"fault": "crossover", "present": False, "score": float("nan")}], notes=notes)
    assert found.score == 0
    assert notes == ["finding crossover: score: expected a number, got NaN; taken from severity or present"]
    assert findings_from([{"fault": "crossover", "present": True}], notes=notes)[0].score == 1
    assert len(notes) == 1  # no score at all is allowed


def test_truths_and_numbers_of_numpy_are_taken():
    row = {
        "fault": "crossover",
        "present": np.bool_(True),
        "severity": np.float32(0.25),
        "score": np.array(2),
    }
    (found,) = findings_from([row])
    assert (found.present, found.severity, found.score) == (True, 0.25, 2)


def test_a_severity_stands_in_for_a_score():
    assert findings_from([{"fault": "crossover", "present": False, "severity": 0.2}])[0].score == 0.2


def test_without_a_name_the_packages_own_detectors_judge():
    judge = make_judge(None)
    assert isinstance(judge, OwnJudge)
    assert [f.fault for f in judge(TRACE, READING)] == [f.fault for f in detect(READING)]


def test_the_command_of_the_gallery_stops_at_a_column_that_is_not_there(tmp_path):
    (tmp_path / "points.csv").write_text("time_s,pelvis_y_m\n0,0.1\n0.02,0.1\n")
    command = ["sh", str(EXAMPLE), "points.csv", "findings.json"]
    ran = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert (ran.returncode, ran.stderr) == (1, "no column left_fingertip_z_m\n")
