"""SECOND METHOD: files read by PyAV, ffprobe, Pillow and by hand; INVARIANT: whole files, flat memory."""

import json
import shutil
import struct
import subprocess
import tracemalloc
from functools import partial

import numpy as np
import pytest
from drawn_swimmer import marks_for, pair, swimmer
from PIL import Image

from swimsim.ground.conventions import JOINTS, MODEL_LINE
from swimsim.ground.errors import InputError, MachineError
from swimsim.ground.projection import project
from swimsim.ground.records import Marks, Trace
from swimsim.view import pipe, writer
from swimsim.view.cameras import free_camera, named_camera
from swimsim.view.cards import card_picture, caution_card
from swimsim.view.clip import ClipOptions, picture, still, write_clip
from swimsim.view.colours import THEMES
from swimsim.view.figure import Shot
from swimsim.view.furniture import speed_words
from swimsim.view.sampling import positions_at
from swimsim.view.scene import Look
from swimsim.view.sheet import SPARE_PX, SheetOptions, _framed, contact_sheet, labels_in, sheet_picture

av = pytest.importorskip("av")
CARD_LIKE = 4  # mean difference after the encoder, as for the drawn colours below; swimming differs by tens
SMALL = Look(size=(640, 360))
FRAMES, FPS = 31 + 90, 30  # one second of swimming and 3 s of end card


@pytest.fixture(scope="module")
def mp4(tmp_path_factory):
    path = tmp_path_factory.mktemp("clip") / "pair.mp4"
    assert write_clip(path, pair(1.0), options=ClipOptions(look=SMALL)) == FRAMES
    return path


def atoms(data):
    """Names of the top-level boxes of an MP4 file: 32-bit length, 4 letters (ISO/IEC 14496-12)."""
    names, at = [], 0
    while at < len(data):
        length, name = struct.unpack(">I4s", data[at : at + 8])
        names.append(name.decode())
        at += struct.unpack(">Q", data[at + 8 : at + 16])[0] if length == 1 else length
    assert at == len(data)
    return names


def test_index_comes_before_the_pictures(mp4):
    names = atoms(mp4.read_bytes())
    assert names[0] == "ftyp"
    assert names.index("moov") < names.index("mdat")


def test_container_by_pyav(mp4):
    with av.open(str(mp4)) as file:
        (stream,) = file.streams
        assert stream.codec_context.name == "h264" and stream.pix_fmt == "yuv420p"
        assert (stream.width, stream.height) == (640, 360)
        assert stream.average_rate == FPS and stream.frames == FRAMES
        assert abs(float(stream.duration * stream.time_base) - FRAMES / FPS) < 0.5 / FPS
        times = [float(frame.pts * stream.time_base) for frame in file.decode(stream)]
    assert len(times) == FRAMES
    assert np.abs(np.diff(times) - 1 / FPS).max() < 1e-3


def test_container_by_ffprobe(mp4):
    if shutil.which("ffprobe") is None:
        pytest.skip("ffprobe is not on this machine; the PyAV test reads the same fields")
    command = [
        "ffprobe",
        "-v",
        "error",
        "-count_frames",
        "-show_streams",
        "-show_format",
        "-of",
        "json",
        str(mp4),
    ]
    told = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)
    stream = told["streams"][0]
    assert (stream["codec_name"], stream["pix_fmt"]) == ("h264", "yuv420p")
    assert (stream["width"], stream["height"], stream["r_frame_rate"]) == (640, 360, f"{FPS}/1")
    assert int(stream["nb_read_frames"]) == FRAMES
    assert abs(float(told["format"]["duration"]) - FRAMES / FPS) < 0.5 / FPS


def test_decoded_colours_are_the_drawn_ones(mp4):
    """After colour planes and encoder: the header strip within 3 levels, the mean within 4."""
    with av.open(str(mp4)) as file:
        stream = file.streams.video[0]
        assert stream.codec_context.colorspace == 6, "BT.601 is written into the stream"
        first = next(file.decode(stream)).to_ndarray(format="rgb24").astype(float)
    drawn = picture(pair(1.0), at_s=0.0, options=ClipOptions(look=SMALL)).astype(float)
    assert np.abs(first - drawn).mean() < 4
    assert np.median(np.abs(first - drawn)[8:28, 220:300], axis=(0, 1)).max() <= 3


def test_the_end_card_comes_once_and_stays_for_three_seconds(mp4):
    """Read back from the file: the last 90 pictures are the card, and no other picture is like it."""
    card = card_picture(caution_card(), (640, 360), THEMES["light"]).astype(float)
    with av.open(str(mp4)) as file:
        away = [np.abs(f.to_ndarray(format="rgb24") - card).mean() for f in file.decode(video=0)]
    like = np.array(away) < CARD_LIKE
    assert like.tolist() == [False] * 31 + [True] * 90


def test_slow_clips_have_more_frames_of_the_same_swimming(tmp_path):
    options = ClipOptions(look=SMALL, slow=0.5, end_card=False)
    assert write_clip(tmp_path / "slow.mp4", pair(1.0), options=options) == 61
    assert speed_words(0.5, [1.45, 1.32]) == "0.5x   cycle 1.45 s vs 1.32 s"
    assert speed_words(1.0, [1.4, 1.4]) == "1x"


def test_gif(tmp_path):
    path = tmp_path / "pair.gif"
    count = write_clip(path, pair(1.0), options=ClipOptions(look=SMALL, fps=25))
    with Image.open(path) as gif:
        assert gif.n_frames == count == 26 + 75
        assert gif.size == (640, 360) and gif.info["loop"] == 0
        lengths = []
        for frame in range(gif.n_frames):
            gif.seek(frame)
            lengths.append(gif.info["duration"])
        gif.seek(7)
        seventh = np.asarray(gif.convert("RGB")).astype(float)
    assert set(lengths) == {40}
    drawn = picture(pair(1.0), at_s=7 / 25, options=ClipOptions(look=SMALL))
    assert np.abs(seventh - drawn).mean() < 1.0


def test_stills_say_model(tmp_path):
    path = tmp_path / "still.png"
    still(path, pair(1.0), at_s=0.5)
    with Image.open(path) as image:
        assert image.size == (1280, 720) and image.text["Description"] == MODEL_LINE


def test_same_input_same_picture_and_layouts_differ():
    first, second = (picture(pair(1.0), at_s=0.5) for _ in range(2))
    assert np.array_equal(first, second)
    stacked = picture(pair(1.0), at_s=0.5, options=ClipOptions(look=Look(layout="stacked", size=(720, 1280))))
    assert stacked.shape == (1280, 720, 3)


def test_free_cameras_can_be_a_view():
    camera = free_camera((3, 3, 1), (0.2, 0, 0), field_deg=50, name="deck corner")
    look = Look(views=("side_left", camera), size=(640, 360), theme="dark")
    assert picture(pair(1.0), at_s=0.5, options=ClipOptions(look=look)).shape == (360, 640, 3)


def test_a_panel_without_word_has_no_header():
    trace = swimmer(1.0)
    bare = picture([(trace, Marks())], at_s=0.5)
    worded = picture([(trace, marks_for(trace, fault=True))], at_s=0.5)
    strip = (12, 640)  # a row of the header strip, right of all words
    assert tuple(worded[strip]) != tuple(bare[strip])


@pytest.mark.parametrize(
    ("name", "options", "words"),
    [
        ("a.avi", ClipOptions(), "ending in .mp4, .webm or .gif, got '.avi'"),
        ("a.mp4", ClipOptions(look=Look(size=(641, 360))), "even numbers of pixels for MP4, got 641 x 360"),
        ("a.mp4", ClipOptions(look=Look(theme="bright")), "theme"),
        ("a.mp4", ClipOptions(seconds=60), "at most 1.00"),
        ("no/such/folder/a.mp4", ClipOptions(look=SMALL), "existing folder"),
    ],
)
def test_wrong_clips_are_refused_and_leave_nothing(tmp_path, name, options, words):
    with pytest.raises(InputError, match=words):
        write_clip(tmp_path / name, pair(1.0), options=options)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("suffix", [".mp4", ".gif"])
def test_a_failure_while_drawing_leaves_the_old_file(tmp_path, suffix):
    path = tmp_path / f"clip{suffix}"
    path.write_bytes(b"old")

    def stop(done, total):
        if done == 5:
            raise KeyboardInterrupt("stopped by hand")

    with pytest.raises(KeyboardInterrupt, match="by hand"):
        write_clip(path, pair(1.0), options=ClipOptions(look=SMALL), progress=stop)
    assert path.read_bytes() == b"old" and list(tmp_path.iterdir()) == [path]


def test_a_failing_encoder_says_so(tmp_path, monkeypatch):
    monkeypatch.setattr(
        writer, "_raw_input", lambda *_: [writer.ffmpeg_path(), "-v", "error", "-i", "no such file"]
    )
    with pytest.raises(MachineError, match="video writer failed"):
        write_clip(tmp_path / "clip.mp4", pair(1.0), options=ClipOptions(look=SMALL))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("at", [2, 25])
def test_an_encoder_that_is_killed_from_outside_leaves_nothing(tmp_path, monkeypatch, at):
    """As the system kills it where memory is short, or where a file gets larger than is allowed."""
    started, real = [], pipe.subprocess.Popen

    def start(*args, **kwargs):
        started.append(real(*args, **kwargs))
        return started[-1]

    def kill(done, total):
        if done == at:
            started[0].kill()
            started[0].wait()

    monkeypatch.setattr(pipe.subprocess, "Popen", start)
    with pytest.raises(MachineError, match=r"failed \(exit code -9\): it was stopped from outside"):
        write_clip(tmp_path / "clip.mp4", pair(1.0), options=ClipOptions(look=SMALL), progress=kill)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("said", "match"),
    [
        ("[out#0/mp4 @ 0x1] Error muxing: No space left on device\n[x] more\nmore", "No space left on device; free"),
        ("[mp4 @ 0x1] [x] Something odd\n[x] more\nmore", r"exit code 228\): Something odd$"),
    ],
)  # fmt: skip
def test_what_an_encoder_complains_of_is_one_line(tmp_path, monkeypatch, said, match):
    script = f"cat >/dev/null; printf '%s' '{said}' >&2; exit 228"
    monkeypatch.setattr(writer, "_raw_input", lambda *_: ["sh", "-c", script])
    with pytest.raises(MachineError, match=match) as caught:
        write_clip(tmp_path / "clip.mp4", pair(1.0), options=ClipOptions(look=SMALL))
    assert len(str(caught.value).splitlines()) == 1 and list(tmp_path.iterdir()) == []


def test_a_missing_encoder_says_what_to_install(tmp_path, monkeypatch):
    import imageio_ffmpeg

    def missing():
        raise RuntimeError("no program")

    monkeypatch.setattr(imageio_ffmpeg, "get_ffmpeg_exe", missing)
    with pytest.raises(MachineError, match="pip install imageio-ffmpeg"):
        write_clip(tmp_path / "clip.mp4", pair(1.0), options=ClipOptions(look=SMALL))
    assert list(tmp_path.iterdir()) == []


def test_memory_does_not_grow_with_length(tmp_path):
    """Peak of Python and numpy memory while writing, beyond the traces themselves: 120 against 500 frames."""
    panels = pair(17.0)
    peaks = []
    for seconds in (120 / 30, 500 / 30):
        options = ClipOptions(look=Look(size=(320, 180)), seconds=seconds, end_card=False)
        write_clip(tmp_path / "warm.mp4", panels, options=ClipOptions(look=options.look, seconds=0.1))
        tracemalloc.start()
        write_clip(tmp_path / "clip.mp4", panels, options=options)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] - peaks[0] < 4e6, "380 kept frames would be 66 MB"


def test_contact_sheet(tmp_path):
    trace = swimmer(1.4)
    times = np.arange(12) / 12 * 1.4
    labels = [f"{round(100 * k / 12)} %" for k in range(12)]
    contact_sheet(tmp_path / "sheet.png", trace, times, labels=labels, marks=marks_for(trace, fault=True))
    with Image.open(tmp_path / "sheet.png") as image:
        assert image.width == 1920 and image.height > 1000
    one = sheet_picture(trace, times, options=SheetOptions(views=("front",), theme="dark", width=1200))
    assert one.shape[1] == 1200


def test_labels_of_narrow_cells_say_only_how_far_the_stroke_is():
    """A letter of 12 px is about 7 px wide: 23 of them want 160 px, in 127 there is room for 2.5 s alone."""
    labels = ["0.0 s reach", "2.5 s stroke and breathe"]
    assert labels_in(labels, 250) == labels
    assert labels_in(labels, 127) == ["0.0 s", "2.5 s"]
    assert labels_in(["0 % entry", "83 % recovery"], 127) == ["0 % entry", "83 % recovery"]


@pytest.mark.parametrize("view", ["side_left", "front", "below", "overhead", "above_front"])
def test_a_sheet_cuts_off_no_raised_hand(view):
    """A hand 1.2 m above the water and one 1.2 m to the side: every joint lies inside the cell, by the projection."""
    trace = swimmer(1.4)
    joints = trace.joints_m.copy()
    for joint, reach in (("left_fingertip", (0.2, 0.0, 1.2)), ("right_fingertip", (0.2, -1.2, -0.2))):
        joints[:, JOINTS.index(joint)] = trace.joint("pelvis") + np.array(reach)
    times = np.arange(12) / 12 * 1.4
    at = positions_at(Trace(trace.time_s, joints, JOINTS, trace.rate_hz, trace.meta), times)
    shot_of = partial(Shot, points_m=at, names=JOINTS, shift_m=1.45 * times)
    camera = _framed(named_camera(view, 1.80, size_px=(240, 111)), shot_of)
    at[..., 0] -= 1.45 * times[:, None]
    pixels = project(camera, at)
    assert camera.size_px[0] == 240 and camera.size_px[1] >= 111
    assert pixels.min() >= SPARE_PX - 1
    assert (pixels <= np.array(camera.size_px) - SPARE_PX).all()
    plain = partial(Shot, points_m=positions_at(trace, times), names=JOINTS, shift_m=1.45 * times)
    assert _framed(named_camera("side_left", 1.80, size_px=(240, 180)), plain).size_px == (240, 180)


@pytest.mark.parametrize(
    ("times", "labels", "options", "words"),
    [
        ([0.5, 0.4], (), None, "increasing times"),
        ([0.5, 9.0], (), None, "within 0.00 to 1.00"),
        ([0.5], ("a", "b"), None, "expected 1 .* got 2"),
        ([0.5], (), SheetOptions(views=("bellow",)), "did you mean 'below'"),
    ],
)
def test_wrong_sheets_are_refused(tmp_path, times, labels, options, words):
    with pytest.raises(InputError, match=words):
        contact_sheet(tmp_path / "sheet.png", swimmer(1.0), times, labels=labels, options=options)
    assert list(tmp_path.iterdir()) == []
