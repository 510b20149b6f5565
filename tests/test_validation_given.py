"""HAND-COUNTED: measures and points that somebody else's detector gives are scored, and read on as ours are."""

import math
import sys

import numpy as np
import pytest

from swimsim.detectors import rules
from swimsim.ground.errors import InputError
from swimsim.ground.records import Trace
from swimsim.metrics import measure_trace
from swimsim.scenario.clean_swimmers import clean_swimmer
from swimsim.validation.design import read_design, units
from swimsim.validation.given import given_from
from swimsim.validation.judges import JudgeSpec, make_judge
from swimsim.validation.looking import degraded, read
from swimsim.validation.ways import condition_of
from swimsim.validation.work import do

SEED = 71
DETECTOR = '''
from dataclasses import replace

def shifted(data):
    """Every point 3 px to the right and 4 px down."""
    return replace(data, pixels=data.pixels + [3.0, 4.0])

def same(data):
    return data

def arms_alone(data):
    """Keypoints by name, as plain lists; only those of the arms, every second frame."""
    keep = [n for n in data.joint_names if n.split("_")[-1] in ("shoulder", "elbow", "wrist")]
    rows = {n: data.pixels[:, data.joint_names.index(n)].tolist() for n in keep}
    for name in rows:
        rows[name][1::2] = [None] * len(rows[name][1::2])
    return {"keypoints": rows}

def crosses(data):
    """Measures of its own: both hands enter 20 cm over the midline."""
    return {"measures": [{"measure": "entry_line", "side": s, "value": -40.0} for s in ("left", "right")]}
'''
COPY = """
import sys
lines = open(sys.argv[1], encoding="utf-8").read()
open(sys.argv[2], "w", encoding="utf-8").write(lines)
"""


@pytest.fixture(scope="module")
def swum():
    return clean_swimmer(SEED, 0).swum


@pytest.fixture(scope="module")
def mine(tmp_path_factory):
    path = tmp_path_factory.mktemp("given") / "mine.py"
    path.write_text(DETECTOR, encoding="utf-8")
    return path


def records(name, view="side_left", condition="exact"):
    """Records of one clean swimmer in one view, judged by a detector."""
    design = read_design(
        {"seed": SEED, "swimmers": 1, "faults": ["none"], "conditions": [condition], "views": [view]}
    )
    judge = make_judge(None if name is None else JudgeSpec(name, 60.0))
    try:
        return list(do(units(design)[0], design, judge=judge))
    finally:
        judge.close()


def test_points_of_its_own_are_scored_in_pixels_and_centimetres(mine):
    row = records(f"{mine}:shifted")[0]
    points = row["points"]
    assert row["failed"] is None
    assert points["median_px"] == pytest.approx(5.0, abs=1e-4)  # 3, 4, 5
    assert points["p95_px"] == pytest.approx(5.0, abs=1e-4)
    assert points["given"] == 1.0
    assert points["median_cm"] == pytest.approx(5.0 * cm_per_px(), rel=0.05)  # perspective
    assert 0.9 < points["oks"] < 1.0
    ours = records(None)[0]["points"]
    assert ours["median_px"] == pytest.approx(0.0, abs=1e-6) and ours["ap"] == 1.0


def test_points_of_its_own_are_measured_and_judged_as_ours_are(mine):
    theirs, ours = records(f"{mine}:same", condition="square")[0], records(None, condition="square")[0]
    for part in ("measures", "events", "findings", "points"):
        assert theirs[part] == ours[part]
    assert theirs["built_in"] == ours["findings"]
    moved = records(f"{mine}:shifted", condition="square")[0]
    depth = [np.array([pair[1] for pair in row["measures"]["hand_depth"]]) for row in (moved, ours)]
    assert depth[0] - depth[1] == pytest.approx(
        [4 * cm_per_px()] * 2, rel=0.15
    )  # 4 px down; the hand is nearer
    assert moved["built_in"] == ours["findings"]  # ours see what it was shown


def test_what_it_does_not_give_is_missing(mine):
    row = records(f"{mine}:arms_alone")[0]
    joints = 6 / len(degraded_seen_names())
    assert row["points"]["given"] == pytest.approx(0.5 * joints, rel=0.1)
    assert row["points"]["ap"] < 0.2  # a point that is not given is infinitely far
    assert all(read is None for _, read in row["measures"]["kick_range"])


def cm_per_px():
    """Size of a pixel at the swimmer, from the trunk: its length in the trace against that in the picture."""
    swum = clean_swimmer(SEED, 0).swum
    seen = degraded(swum, condition_of("exact"), "side_left", seed=1)
    ends = [seen.joint_names.index(name) for name in ("pelvis", "thorax")]
    pixels = np.linalg.norm(np.diff(seen.pixels[:, ends], axis=1)[:, 0], axis=1)
    metres = np.linalg.norm((swum.trace.joint("pelvis") - swum.trace.joint("thorax"))[:, [0, 2]], axis=1)
    return float(100 * np.median(metres) / np.median(pixels))


def degraded_seen_names():
    return degraded(clean_swimmer(SEED, 0).swum, condition_of("exact"), "side_left", seed=1).joint_names


def test_measures_of_its_own_are_scored_and_judged(mine):
    row = records(f"{mine}:crosses", view="3d")[0]
    assert [read for _, read in row["measures"]["entry_line"]] == [-40.0, -40.0]
    assert all(read is None for _, read in row["measures"]["hand_depth"])
    assert row["findings"]["crossover"][0] is True  # far over the midline
    assert row["findings"]["dropped_elbow"][1] is None  # nothing given, nothing said
    assert row["built_in"]["crossover"][0] is False  # a clean swimmer


def test_our_own_measuring_as_a_command_comes_out_as_ours():
    command = f"{sys.executable} -m swimsim measure {{in}} --out {{out}}"
    theirs, ours = records(command, condition="square")[0], records(None, condition="square")[0]
    assert theirs["failed"] is None
    for key, pairs in ours["measures"].items():
        for (_, one), (_, other) in zip(theirs["measures"][key], pairs, strict=True):
            assert (one is None) == (other is None), key
            assert one is None or one == pytest.approx(other, abs=2e-3), key  # pixels in the file are rounded
    assert {s: row[0] for s, row in theirs["findings"].items()} == {
        s: r[0] for s, r in ours["findings"].items()
    }


@pytest.mark.parametrize(("view", "tolerance"), [("side_left", 2e-3), ("3d", 2e-3)])
def test_a_command_may_write_a_csv_of_points(tmp_path, view, tolerance):
    script = tmp_path / "copy.py"
    script.write_text(COPY, encoding="utf-8")
    row = records(f"{sys.executable} {script} {{in}} {{out}}", view=view, condition="square")[0]
    ours = records(None, view=view, condition="square")[0]
    assert row["failed"] is None
    assert row["measures"]["exit_past_hip"][0] == pytest.approx(
        ours["measures"]["exit_past_hip"][0], abs=tolerance
    )
    assert (row["points"] is None) == (view == "3d")


# ---- answers by hand


TRACE = Trace(np.arange(4) / 50, np.zeros((4, 2, 3)), ("left_wrist", "left_elbow"), 50.0)
READING = measure_trace(TRACE)


def given(answer, data=TRACE, notes=None):
    return given_from(answer, (data, READING), read, notes=[] if notes is None else notes)


def test_joints_that_are_not_given_are_missing_and_unknown_ones_are_named():
    notes = []
    found = given(
        {"keypoints": {"left_wrist": [[1, 2, 3], None, [1, 2, 3], [1, 2, 3]], "left_wirst": []}}, notes=notes
    )
    assert found.data.joint("left_wrist")[0].tolist() == [1, 2, 3]
    assert (
        np.isnan(found.data.joint("left_wrist")[1]).all() and np.isnan(found.data.joint("left_elbow")).all()
    )
    assert notes == ["points were left out: unknown joint 'left_wirst'; did you mean 'left_wrist'?"]


@pytest.mark.parametrize(
    ("answer", "why"),
    [
        ({"keypoints": [1, 2]}, "expected a mapping of joints"),
        ({"keypoints": {"left_wrist": [[1, 2, 3]]}}, "left_wrist: expected 4 frames of 3 numbers"),
        ({"keypoints": {"left_wrist": [["a", 2, 3]] * 4}}, "left_wrist: expected numbers"),
        ({"measures": "none"}, "measures: expected a list"),
        ({"measures": [{"value": 1.0}]}, "expected mappings with measure"),
        ({"measures": [{"measure": "hand_depth", "value": 1.0}]}, "side: expected left or right"),
        ({"measures": [{"measure": "speed", "side": "left", "value": 1.0}]}, "side: expected none"),
        ({"measures": [{"measure": "speed", "value": "fast"}]}, "expected numbers in m/s"),
        ({"measures": [{"measure": "speed", "value": 1.0, "cycle": 1.5}]}, "cycle: expected a whole number"),
        ({"measures": [{"measure": "speed", "value": 1.0, "breathing": "yes"}]}, "breathing: expected true"),
    ],
)
def test_an_answer_that_does_not_fit_says_where(answer, why):
    with pytest.raises(InputError, match=why):
        given(answer)


def test_pixels_for_a_trace_are_refused(swum):
    seen = degraded(swum, condition_of("exact"), "side_left", seed=1)
    with pytest.raises(InputError, match="expected a Trace as it was given, got a Seen"):
        given(seen)


def test_findings_that_come_with_points_stand():
    found = given({"keypoints": {}, "findings": [{"fault": "crossover", "present": True}]})
    assert [(f.fault, f.present) for f in found.findings] == [("crossover", True)]
    assert given([]).findings == () and given([]).data is None


def test_an_unknown_measure_is_left_out_and_named():
    notes = []
    found = given({"measures": [{"measure": "hand_dept", "side": "left", "value": 1.0}]}, notes=notes)
    assert notes == ["a measure was left out: unknown measure 'hand_dept'; did you mean 'hand_depth'?"]
    assert all(math.isnan(m.value) and m.reason for m in found.reading.measures)
    assert {f.fault for f in found.findings} == set(rules())
