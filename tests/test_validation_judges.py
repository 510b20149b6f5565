"""HAND-COUNTED: other people's detectors, each in a process of its own; a crash or a hang is a miss and no more."""

import json
import sys

import numpy as np
import pytest

from swimsim.detectors import detect
from swimsim.ground.errors import InputError
from swimsim.ground.records import Trace
from swimsim.metrics import Reading
from swimsim.validation.judges import JudgeSpec, OwnJudge, findings_from, make_judge

READING = Reading((), (), {}, {}, "by hand")
TRACE = Trace(np.arange(5) / 50, np.full((5, 1, 3), 0.25), ("left_wrist",), 50.0)
DETECTOR = '''
import os, sys, time

def find(data):
    print("a line that must not disturb anything")
    return [{"fault": "crossover", "present": bool(data.joints_m[0, 0, 0] > 0), "severity": 0.5, "score": 2.0}]

def raises(data):
    raise RuntimeError("no such luck")

def ends(data):
    os._exit(3)

def hangs(data):
    time.sleep(60)

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
        ("wrong", "present: expected true or false, got 'yes'"),
    ],
)
def test_what_goes_wrong_is_a_miss_with_its_reason(detector, function, why):
    findings, failure = judged(f"{detector}:{function}")[0]
    assert findings == () and why in failure


def test_a_hang_is_ended_after_the_time_limit(detector):
    findings, failure = judged(f"{detector}:hangs", limit=0.3)[0]
    assert findings == () and failure == "no answer in 0.3 s"


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
        ("pass", "No such file"),
        ("import sys; open(sys.argv[2], 'w').write('no json')", "Expecting value"),
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


@pytest.mark.parametrize(
    ("answer", "why"),
    [
        (3, "expected a list of findings, got int"),
        ({"found": []}, "expected a list of findings, got NoneType"),
        ([3], "expected a mapping, got int"),
        ([{"fault": "crosover", "present": True}], "did you mean 'crossover'"),
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


def test_a_severity_stands_in_for_a_score():
    assert findings_from([{"fault": "crossover", "present": False, "severity": 0.2}])[0].score == 0.2


def test_without_a_name_the_packages_own_detectors_judge():
    judge = make_judge(None)
    assert isinstance(judge, OwnJudge)
    assert [f.fault for f in judge(TRACE, READING)] == [f.fault for f in detect(READING)]
