"""`swimsim measure` on poor traces. Kinds of truth: HAND-COUNTED (frames taken out), INVARIANT (exit codes)."""

import dataclasses

import numpy as np
import pytest
from stick_swimmer import Stick, stick_trace

from swimsim import api
from swimsim.cli.main import run_program
from swimsim.ground.files import write_trace

WHOLE = stick_trace(Stick(), rate_hz=50.0, cycles=4.3)
HANDS = ("wrist", "knuckles", "fingertip", "thumb_tip")


def holed(**frames):
    """The whole trace with so many frames taken out of each named joint."""
    joints = WHOLE.joints_m.copy()
    for name, count in frames.items():
        joints[:count, WHOLE.joint_names.index(name)] = np.nan
    return dataclasses.replace(WHOLE, joints_m=joints)


def frozen():
    return dataclasses.replace(WHOLE, joints_m=np.repeat(WHOLE.joints_m[:1], len(WHOLE.time_s), axis=0))


def cut():
    return dataclasses.replace(WHOLE, time_s=WHOLE.time_s[:12], joints_m=WHOLE.joints_m[:12])


def handless():
    frames = len(WHOLE.time_s)
    return holed(**{name: frames for name in WHOLE.joint_names if name.endswith(HANDS)})


@pytest.mark.parametrize(
    ("made", "why"),
    [(frozen, "no whole cycle of the "), (cut, "no whole cycle of the "), (handless, "joint missing: left_")],
)
def test_a_trace_that_tells_nothing_writes_its_table_and_exits_2(tmp_path, capsys, made, why):
    write_trace(made(), tmp_path / "a.npz")
    assert run_program(["measure", str(tmp_path / "a.npz"), "--out", str(tmp_path / "a.csv")]) == 2
    said = capsys.readouterr()
    assert said.err.startswith(f"swimsim: {tmp_path / 'a.npz'}: nothing could be measured: {why}")
    assert said.err.count("\n") == 1
    assert "What the blind reader read" in said.out
    assert "both passes: ." not in said.out
    assert (tmp_path / "a.csv").read_text(encoding="utf-8").count("\n") > 50


def test_without_a_point_the_rule_says_that_nothing_was_smoothed(tmp_path):
    write_trace(holed(**dict.fromkeys(WHOLE.joint_names, len(WHOLE.time_s))), tmp_path / "a.npz")
    assert (
        "half-power point of both passes: nothing to smooth. Frames"
        in api.measure(tmp_path / "a.npz").notes[-1]
    )


def test_a_trace_that_tells_something_exits_0(tmp_path, capsys):
    write_trace(WHOLE, tmp_path / "a.npz")
    assert run_program(["measure", str(tmp_path / "a.npz")]) == 0
    said = capsys.readouterr()
    assert said.err == "" and "frames missing" not in said.out


def test_gaps_are_named_once_for_each_joint_most_gaps_first(tmp_path):
    write_trace(holed(left_elbow=3, left_wrist=66), tmp_path / "a.npz")
    n = len(WHOLE.time_s)
    expected = f"left_wrist: 66 of {n} frames missing; left_elbow: 3 of {n} frames missing"
    notes = api.measure(tmp_path / "a.npz").notes
    assert [note for note in notes if "frames missing" in note] == [expected]


def test_six_joints_with_gaps_are_named_and_the_rest_counted(tmp_path):
    names = [f"{side}_{kind}" for kind in HANDS for side in ("left", "right")]
    write_trace(holed(**{name: i + 1 for i, name in enumerate(names)}), tmp_path / "a.npz")
    note = next(note for note in api.measure(tmp_path / "a.npz").notes if "frames missing" in note)
    assert note.count("frames missing") == 6 and note.endswith("; and 2 more")
    assert note.startswith("right_thumb_tip: 8 of ")
