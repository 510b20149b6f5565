"""Traces on disk. Kinds of truth: ROUND TRIP, HAND-COUNTED (two-frame files written by hand), INVARIANT."""

import json
import zipfile

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swimsim.ground.atomic import whole_file, whole_folder
from swimsim.ground.conventions import JOINTS
from swimsim.ground.errors import InputError
from swimsim.ground.files import read_trace, write_csv, write_npz, write_seen_csv, write_trace
from swimsim.ground.foreign import axes_choice, read_joint_map
from swimsim.ground.records import Camera, Seen, Trace
from swimsim.ground.tables import users_toml

CSV_STEP_M = 0.5e-9  # half the last decimal written


def small_trace(frames=30, seed=1):
    joints = np.random.default_rng(seed).normal(size=(frames, len(JOINTS), 3))
    joints[3, 2] = np.nan
    joints[4, 5, 1] = np.nan
    return Trace(np.arange(frames) / 60, joints, JOINTS, 60.0, {"source": "test", "n": [1, 2.5, None]})


def two_frames(
    path, head="time_s,left_wrist_x_m,left_wrist_y_m,left_wrist_z_m", rows=("0,1,2,3", "0.02,4,5,6")
):
    path.write_text("\n".join([head, *rows]) + "\n")
    return path


def test_npz_comes_back_exactly(tmp_path):
    trace = small_trace()
    write_npz(trace, tmp_path / "a.npz")
    back = read_trace(tmp_path / "a.npz")
    np.testing.assert_array_equal(back.joints_m, trace.joints_m)
    np.testing.assert_array_equal(back.time_s, trace.time_s)
    assert (back.rate_hz, back.joint_names, back.meta) == (60.0, JOINTS, dict(trace.meta))


def test_csv_comes_back_to_the_nanometre(tmp_path):
    trace = small_trace()
    write_csv(trace, tmp_path / "a.csv")
    back = read_trace(tmp_path / "a.csv")
    np.testing.assert_allclose(back.joints_m, trace.joints_m, rtol=0, atol=CSV_STEP_M * 1.01)
    assert back.rate_hz == 60.0
    assert back.joint_names == JOINTS


@pytest.mark.parametrize("suffix", ["npz", "csv"])
def test_same_trace_gives_same_bytes(tmp_path, suffix):
    for name in ("a", "b"):
        write_trace(small_trace(), tmp_path / f"{name}.{suffix}")
    assert (tmp_path / f"a.{suffix}").read_bytes() == (tmp_path / f"b.{suffix}").read_bytes()
    assert sorted(p.name for p in tmp_path.iterdir()) == [f"a.{suffix}", f"b.{suffix}"]


def test_npz_holds_plain_arrays_only(tmp_path):
    write_npz(small_trace(), tmp_path / "a.npz")
    with np.load(tmp_path / "a.npz", allow_pickle=False) as archive:
        assert sorted(archive.files) == ["joint_names", "joints_m", "meta", "rate_hz", "time_s"]
        assert archive["joint_names"].dtype.kind == "U"
        assert json.loads(str(archive["meta"]))["source"] == "test"
    with zipfile.ZipFile(tmp_path / "a.npz") as archive:
        assert {info.date_time[0] for info in archive.infolist()} == {1980}  # the clock is not in the bytes


def test_csv_header_and_cells(tmp_path):
    trace = Trace(np.array([0.0, 0.02]), np.array([[[1, -2, np.nan]], [[0.5, 0, 3]]]), ("left_wrist",), 50.0)
    write_csv(trace, tmp_path / "a.csv")
    assert (tmp_path / "a.csv").read_text() == (
        "time_s,left_wrist_x_m,left_wrist_y_m,left_wrist_z_m\n"
        "0.000000000,1.000000000,-2.000000000,\n0.020000000,0.500000000,0.000000000,3.000000000\n"
    )


def test_seen_csv_header_and_cells(tmp_path):
    camera = Camera("side_left", np.zeros(3), np.eye(3), (100.0, 100.0), (50.0, 50.0), (100, 100))
    seen = Seen(np.array([0.0]), np.array([[[1.5, 2.0]]]), np.array([[1.0]]), ("nose",), camera, 60.0)
    write_seen_csv(seen, tmp_path / "s.csv")
    assert (tmp_path / "s.csv").read_text() == (
        "time_s,nose_x_px,nose_y_px,nose_confidence\n0.000000,1.500000,2.000000,1.000000\n"
    )


@pytest.mark.parametrize(
    ("axes", "expected"),
    [("x,y,z", (1, 2, 3)), ("-y,x,z", (-2, 1, 3)), ("z,x,y", (3, 1, 2)), (" X , -Z , Y ", (1, -3, 2)),
     ("-x,-y,z", (-1, -2, 3))],
)  # fmt: skip
def test_axes_say_which_file_axis_gives_ours(tmp_path, axes, expected):
    trace = read_trace(two_frames(tmp_path / "a.csv"), axes=axes)
    np.testing.assert_array_equal(trace.joint("left_wrist")[0], expected)


@given(st.permutations("xyz"), st.tuples(*[st.sampled_from(["", "-"])] * 3))
def test_axes_are_right_handed_or_refused_with_a_fix_that_works(letters, signs):
    axes = ",".join(s + a for s, a in zip(signs, letters, strict=True))
    try:
        index, sign = axes_choice(axes)
    except InputError as error:
        index, sign = axes_choice(str(error).split("did you mean '")[1].split("'")[0])
    forward, left, up = np.eye(3)[index] * sign[:, None]
    np.testing.assert_array_equal(np.cross(forward, left), up)


@pytest.mark.parametrize("axes", ["x,y", "x,y,y", "x,y,w", "", "x,y,z,x", "x y z", "x,-x,z", "--x,y,z"])
def test_broken_axes_are_refused(axes):
    with pytest.raises(InputError, match="--axes: expected"):
        axes_choice(axes)


@pytest.mark.parametrize(("unit", "metres"), [("m", 1.0), ("cm", 0.01), ("mm", 0.001)])
def test_unit_from_option_or_header(tmp_path, unit, metres):
    bare = two_frames(tmp_path / "a.csv", head="time_s,left_wrist_x,left_wrist_y,left_wrist_z")
    named = two_frames(tmp_path / "b.csv", head="time_s," + ",".join(f"left_wrist_{a}_{unit}" for a in "xyz"))
    for trace in (read_trace(bare, unit=unit), read_trace(named)):
        np.testing.assert_allclose(trace.joint("left_wrist")[0], np.array([1, 2, 3]) * metres, rtol=1e-15)


@pytest.mark.parametrize(
    ("name", "text"),
    [("m.toml", 'LWRI = "left_wrist"\n'), ("m2.toml", '[joints]\nLWRI = "left_wrist"\n'),
     ("m.json", '{"LWRI": "left_wrist"}'),
     ("m.csv", "theirs,ours\nLWRI,left_wrist\n"), ("m2.csv", "LWRI,left_wrist")],
)  # fmt: skip
def test_map_gives_our_names(tmp_path, name, text):
    (tmp_path / name).write_text(text)
    file = two_frames(tmp_path / "a.csv", head="time_s,LWRI_x,LWRI_y,LWRI_z")
    trace = read_trace(file, joint_map=tmp_path / name)
    np.testing.assert_array_equal(trace.joint("left_wrist"), [[1, 2, 3], [4, 5, 6]])
    assert "left_wrist" not in trace.meta["missing_joints"]
    assert "right_wrist" in trace.meta["missing_joints"]


def test_missing_and_unknown_joints_are_named_once(tmp_path):
    head = "time_s,left_wrist_x,left_wrist_y,left_wrist_z,tail_x,tail_y,tail_z"
    trace = read_trace(two_frames(tmp_path / "a.csv", head=head, rows=("0,1,2,3,7,8,9", "0.02,4,5,6,7,8,9")))
    assert trace.joint_names == JOINTS
    assert trace.meta["unknown_joints"] == ["tail"]
    assert trace.meta["missing_joints"] == [name for name in JOINTS if name != "left_wrist"]
    assert np.isnan(trace.joint("nose")).all()


def test_rate_gives_times_where_the_file_has_none(tmp_path):
    file = two_frames(
        tmp_path / "a.csv", head="left_wrist_x,left_wrist_y,left_wrist_z", rows=("1,2,3", "4,5,6")
    )
    assert read_trace(file, rate_hz=50).time_s.tolist() == [0.0, 0.02]
    with pytest.raises(InputError, match="time_s: expected times in seconds, got none; add --rate"):
        read_trace(file)


def _npz(path, **arrays):
    np.savez(path, **arrays)
    return path


def _good(**changes):
    arrays = {
        "time_s": np.arange(3) / 50, "joints_m": np.zeros((3, 1, 3)), "joint_names": np.array(["nose"]),
        "rate_hz": 50.0, "meta": "{}",
    }  # fmt: skip
    return {key: value for key, value in {**arrays, **changes}.items() if value is not None}


BROKEN_NPZ = [
    (_good(joints_m=None), "joints_m: expected arrays"),
    (_good(joint_names=None), "joint_names: expected arrays"),
    (_good(joints_m=np.zeros((3, 3))), r"joints_m: expected shape \(n_frames, n_joints, 3\)"),
    (_good(joints_m=np.zeros((3, 1, 3), complex)), "joints_m: expected numbers, got complex"),
    (_good(joints_m=np.full((3, 1, 3), "a")), "joints_m: expected numbers"),
    (_good(joints_m=np.full((3, 1, 3), np.inf)), "nose: expected a finite number or nothing, got infinity"),
    (_good(joint_names=np.array(["nose", "chin"])), "joint_names: expected 1 names"),
    (_good(joint_names=np.array([1.0])), "joint_names: expected one row of text"),
    (_good(joint_names=np.array(["nose"], object)), "pickled object, which is never opened"),
    (_good(joints_m=np.full((3, 1, 3), None)), "pickled object, which is never opened"),
    (_good(time_s=np.zeros(3)), "time_s: expected times that increase"),
    (_good(time_s=np.arange(4.0)), "time_s: expected one time for each of the 3 frames"),
    (_good(time_s=np.array([0, np.nan, 1])), "time_s: expected a number in every frame, got nan at frame 1"),
    (_good(time_s=np.array(["a", "b", "c"])), "time_s: expected numbers"),
    (_good(rate_hz=np.array([1.0, 2.0])), "rate_hz: expected one number"),
    (_good(rate_hz=np.nan), "rate_hz: expected frames per second above 0, got nan"),
    (_good(rate_hz=-50.0), "rate_hz: expected frames per second above 0, got -50"),
    (_good(rate_hz=60.0), "rate_hz: expected 50 Hz as the times in the file say, got 60"),
    (_good(time_s=None, rate_hz=None), "time_s: expected times in seconds, got none"),
    (_good(time_s=np.arange(3) / 10, rate_hz=10.0), "rate: expected at least 25 frames per second"),
    (_good(meta="{"), "meta: expected one JSON text"),
    (_good(meta="[1]"), "meta: expected a JSON object"),
    (
        _good(joint_names=np.array(["snout"])),
        "joint names: expected names such as left_shoulder, got 'snout'",
    ),
    (_good(joints_m=np.zeros((0, 1, 3)), time_s=np.zeros(0)), "expected at least 2 frames, got 0"),
    (_good(joints_m=np.zeros((1, 1, 3)), time_s=np.zeros(1)), "expected at least 2 frames, got 1"),
    (_good(joints_m=np.zeros((3, 2, 3)), joint_names=np.array(["nose", "nose"])), "expected each joint once"),
]


@pytest.mark.parametrize(("arrays", "match"), BROKEN_NPZ, ids=[match[:40] for _, match in BROKEN_NPZ])
def test_broken_npz_gives_one_clear_error(tmp_path, arrays, match):
    with pytest.raises(InputError, match=match) as caught:
        read_trace(_npz(tmp_path / "a.npz", **arrays))
    assert "a.npz" in str(caught.value)


def test_cut_off_npz(tmp_path):
    write_npz(small_trace(), tmp_path / "a.npz")
    whole = (tmp_path / "a.npz").read_bytes()
    for share in (0.1, 0.5, 0.9, 0.999):
        (tmp_path / "b.npz").write_bytes(whole[: int(len(whole) * share)])
        with pytest.raises(InputError, match=r"b\.npz: expected an NPZ file"):
            read_trace(tmp_path / "b.npz")


def test_damaged_member_of_npz(tmp_path):
    with zipfile.ZipFile(tmp_path / "a.npz", "w") as archive:
        archive.writestr("joints_m.npy", b"\x93NUMPY\x01\x00v\x00{'descr': '<f8', 'fortran_order'")
        archive.writestr("joint_names.npy", b"not an array")
    with pytest.raises(InputError, match=r"a\.npz: expected"):
        read_trace(tmp_path / "a.npz")


HEAD = "time_s,nose_x_m,nose_y_m,nose_z_m"
BROKEN_CSV = [
    ("", "empty file"),
    ("\n\n", "empty file"),
    (HEAD + "\n", "expected at least 2 frames, got a header and no rows"),
    (HEAD + "\n0,1,2,3\n", "expected at least 2 frames, got 1"),
    (HEAD + "\n0,1,2,3\n0.02,1,two,3\n", "line 3, nose_y_m: expected a number or an empty cell, got 'two'"),
    (HEAD + "\n0,1,2\n0.02,1,2,3\n", "line 2: expected 4 cells as in the header, got 3"),
    (HEAD + "\n0,1,2,3\n0,1,2,3\n", "time_s: expected times that increase, got 0 s after 0 s"),
    (HEAD + "\n0.02,1,2,3\n0,1,2,3\n", "time_s: expected times that increase"),
    (HEAD + "\n0,1,2,3\n,1,2,3\n", "time_s: expected a number in every frame"),
    (
        HEAD + "\n0,1,inf,3\n0.02,1,2,3\n",
        "nose: expected a finite number or nothing, got infinity in y at frame 0",
    ),
    (HEAD + "\n0,1,2,3\n0.1,1,2,3\n", "rate: expected at least 25 frames per second"),
    (HEAD + ",nose_x_m\n0,1,2,3,4\n0.02,1,2,3,4\n", "expected each column once, got 'nose_x_m' 2 times"),
    ("time_s,nose_x_m,nose_y_m\n0,1,2\n0.02,1,2\n", "expected x, y and z of 'nose', got no z"),
    ("time_s,nose_x_m,nose_y_cm,nose_z_m\n0,1,2,3\n0.02,1,2,3\n", "expected one unit, got cm and m"),
    (HEAD + ",mood\n0,1,2,3,4\n0.02,1,2,3,4\n", "columns: expected time_s and <joint>_x_m.*got 'mood'"),
    ("a,b\n1,2\n", "columns: expected time_s,left_shoulder_x_m"),
    ("{}", "columns: expected time_s,left_shoulder_x_m"),
    ("time_s,snout_x,snout_y,snout_z\n0,1,2,3\n0.02,1,2,3\n", "say which is which with --map FILE"),
]


@pytest.mark.parametrize(("text", "match"), BROKEN_CSV, ids=[match[:40] for _, match in BROKEN_CSV])
def test_broken_csv_gives_one_clear_error(tmp_path, text, match):
    (tmp_path / "a.csv").write_text(text)
    with pytest.raises(InputError, match=match) as caught:
        read_trace(tmp_path / "a.csv")
    assert "a.csv" in str(caught.value)


def test_other_broken_inputs(tmp_path):
    (tmp_path / "latin.csv").write_bytes(HEAD.encode() + b"\n0,1,2,\xe9\n")
    (tmp_path / "a.json").write_text("{}")
    (tmp_path / "folder.csv").mkdir()
    with pytest.raises(InputError, match="expected text in UTF-8"):
        read_trace(tmp_path / "latin.csv")
    with pytest.raises(InputError, match=r"expected a file name ending in \.npz or \.csv"):
        read_trace(tmp_path / "a.json")
    with pytest.raises(InputError, match="expected a trace file, got a folder"):
        read_trace(tmp_path / "folder.csv")
    with pytest.raises(InputError, match="expected a readable file, got: No such file"):
        read_trace(tmp_path / "none.npz")
    good = two_frames(tmp_path / "good.csv")
    with pytest.raises(InputError, match="--rate: expected frames per second above 0"):
        read_trace(good, rate_hz=-1)
    with pytest.raises(InputError, match="--rate: expected 50 Hz as the times in the file say, got 60"):
        read_trace(good, rate_hz=60)
    with pytest.raises(InputError, match="unit: expected 'm' as in the column names, got --unit cm"):
        read_trace(good, unit="cm")
    with pytest.raises(InputError, match="--unit: expected m, cm or mm, got 'furlong'; known: cm, m, mm"):
        read_trace(good, unit="furlong")
    with pytest.raises(InputError, match="expected a trace file, got a folder"):
        read_trace(tmp_path)
    with pytest.raises(InputError, match="expected a map file, got a folder"):
        read_trace(good, joint_map=tmp_path)
    with pytest.raises(InputError, match="--unit: expected m, cm or mm, got 'inch'"):
        read_trace(two_frames(tmp_path / "u.csv", head="time_s,nose_x,nose_y,nose_z"), unit="inch")
    with pytest.raises(InputError, match="map: expected joint names of this file, got 'LWRI'"):
        read_trace(good, joint_map={"LWRI": "left_wrist"})


@pytest.mark.parametrize(
    ("name", "text", "match"),
    [("m.toml", 'a = "left_wirst"', "got 'left_wirst'; did you mean 'left_wrist'"),
     ("m.toml", "a = ", "expected a table of their joint names"),
     ("m.toml", "", "expected at least one pair"),
     ("m.toml", 'a = "nose"\nb = "nose"', "expected each joint of ours once, got 'nose' 2 times"),
     ("m.toml", "a = 3", "a: expected a joint name of ours, got '3'"),
     ("m.json", "[1]", "expected a table of their joint names"),
     ("m.json", "{", "expected a table of their joint names"),
     ("m.csv", "a,b,c", "a row of 3 cells instead of 2"),
     ("m.txt", "", "expected a map file ending in .toml, .json or .csv")],
)  # fmt: skip
def test_broken_map_gives_one_clear_error(tmp_path, name, text, match):
    (tmp_path / name).write_text(text)
    with pytest.raises(InputError, match=match):
        read_joint_map(tmp_path / name)


def test_a_map_that_is_no_text(tmp_path):
    for name in ("m.toml", "m.json", "m.csv"):
        (tmp_path / name).write_bytes(b"\xff\xfe")
        with pytest.raises(
            InputError, match=rf"{name}: expected text in UTF-8, got other bytes at position 0"
        ):
            read_joint_map(tmp_path / name)


def test_a_users_file_that_is_none_or_no_toml(tmp_path):
    (tmp_path / "bytes.toml").write_bytes(b"a = 1\n\xff")
    (tmp_path / "odd.toml").write_text("a = ")
    for name, match in (
        ("bytes.toml", r"bytes\.toml: expected text in UTF-8, got other bytes at position 6"),
        ("odd.toml", r"odd\.toml: expected a TOML file: "),
        ("none.toml", r"none\.toml: expected a design file, got none"),
        (".", "expected a design file, got a folder"),
    ):
        with pytest.raises(InputError, match=match):
            users_toml(tmp_path / name, "a design file")


@given(st.binary(max_size=300))
def test_any_bytes_give_a_trace_or_one_clear_error(tmp_path_factory, data):
    folder = tmp_path_factory.mktemp("any")
    for name in ("a.csv", "a.npz", "a.toml", "a.json"):
        (folder / name).write_bytes(data)
        with pytest.raises(InputError, match=name):
            read_joint_map(folder / name) if name[2:] in ("toml", "json") else read_trace(folder / name)


@given(st.text(alphabet='time_s,nose_x_m01.-\n#e"', max_size=200))
def test_any_text_like_a_table_gives_a_trace_or_one_clear_error(tmp_path_factory, text):
    file = tmp_path_factory.mktemp("any") / "a.csv"
    file.write_text(HEAD + "\n" + text)
    try:
        assert len(read_trace(file).time_s) >= 2
    except InputError as error:
        assert "a.csv" in str(error)


def test_whole_file_leaves_nothing_when_the_block_fails(tmp_path):
    (tmp_path / "a.txt").write_text("old")
    with pytest.raises(RuntimeError, match="stop"), whole_file(tmp_path / "a.txt") as part:
        part.write_text("half")
        raise RuntimeError("stop")
    assert [p.read_text() for p in tmp_path.iterdir()] == ["old"]
    with (
        pytest.raises(InputError, match="expected an existing folder"),
        whole_file(tmp_path / "no" / "a.txt"),
    ):
        pass
    with pytest.raises(InputError, match="expected a file name, got a folder"), whole_file(tmp_path):
        pass


def test_whole_folder_is_made_replaced_or_refused(tmp_path):
    def ours(name):
        return name.endswith(".out") or name.startswith("stills/")

    target = tmp_path / "run"
    with whole_folder(target, ours=ours) as part:
        (part / "a.out").write_text("1")
        (part / "stills").mkdir()
        (part / "stills" / "s.png").write_text("s")
    with whole_folder(target, ours=ours) as part:
        (part / "b.out").write_text("2")
    assert [p.name for p in target.rglob("*")] == ["b.out"]
    (target / "mine.txt").write_text("keep")
    with (
        pytest.raises(InputError, match=r"got one with 'mine\.txt' in it.*--force"),
        whole_folder(target, ours=ours),
    ):
        pass
    with whole_folder(target, ours=ours, force=True) as part:
        (part / "b.out").write_text("3")
    assert (target / "mine.txt").read_text() == "keep"
    assert (target / "b.out").read_text() == "3"
    with pytest.raises(RuntimeError, match="stop"), whole_folder(tmp_path / "new", ours=ours) as part:
        raise RuntimeError("stop")
    assert [p.name for p in tmp_path.iterdir()] == ["run"]


def test_whole_folder_over_a_file_is_refused(tmp_path):
    (tmp_path / "run").write_text("a file")
    with pytest.raises(InputError, match="expected a folder, got a file"), whole_folder(tmp_path / "run"):
        pass


def test_a_joint_that_no_trace_has_is_refused_and_one_that_this_trace_lacks_is_nan():
    trace = Trace(np.arange(2) / 60, np.zeros((2, 1, 3)), ("left_wrist",), 60.0)
    assert np.isnan(trace.joint("left_elbow")).all() and not trace.joint("left_wrist").any()
    with pytest.raises(InputError, match=r"got 'left_hip_joint'; did you mean 'left_hip'\?"):
        trace.joint("left_hip_joint")
