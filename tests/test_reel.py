"""INVARIANT: seams, loops, lock, mirror; HAND-COUNTED: pictures of each part; SECOND METHOD: PyAV, projection."""

import functools
from dataclasses import replace

import numpy as np
import pytest
from drawn_swimmer import CYCLE_S, SPEED_M_S, marks_for, pair, swimmer
from made_swimmers import made
from test_captions import read
from tolerances import ALGEBRA

from swimsim.ground.errors import InputError
from swimsim.ground.projection import project
from swimsim.ground.records import Marks
from swimsim.view import reel, writer
from swimsim.view import scene as scene_module
from swimsim.view.cameras import VIEWS, named_camera
from swimsim.view.cards import Card, card_picture
from swimsim.view.clip import ClipOptions, picture, write_clip
from swimsim.view.clock import Clock
from swimsim.view.colours import THEMES
from swimsim.view.look import Look
from swimsim.view.mirror import mirrored_camera, mirrored_panel
from swimsim.view.parts import Part, teaching_parts
from swimsim.view.reel import write_reel
from swimsim.view.sampling import phase_at
from swimsim.view.scene import Scene
from swimsim.view.stretch import PATTERN_M, Timeline

av = pytest.importorskip("av")
FPS = 30
SMALL = Look(size=(640, 360))
CLOSED_LEVELS = 1  # grey levels between the first picture of a loop and the one after its last
CLOSED_EDGE_LEVELS = 32  # the same if the cycle is no whole number of frames: 1/8 px at an edge, 255 / 8
MIRROR_LEVELS = 1.0  # mean grey levels: edges fall between other pixels in a mirror
CARD_LIKE = 4  # mean difference after the encoder; swimming differs by tens
UNEVEN_S = 1.37  # a cycle that is no whole number of pictures


def uneven(seconds=12.0, cycle_s=UNEVEN_S):
    trace = swimmer(seconds, cycle_s=cycle_s)
    return trace, replace(marks_for(trace, fault=True, cycle_s=cycle_s), key_share=0.4, cue="Push back")


def two_tempi():
    slow = swimmer(12.0, cycle_s=1.6)
    return uneven(), (slow, marks_for(slow, fault=False, cycle_s=1.6))


def planned(parts):
    timeline = Timeline(FPS)
    return [(part, timeline.plan(part)) for part in parts if part.card is None]


def test_pictures_of_the_standard_sequence():
    """By hand, cycle 1.4 s at 30/s: 45; two cycles 84; 84 + 30; 168 + 30; 42; 42; 90."""
    keyed = [(t, replace(m, key_share=0.4)) for t, m in pair(9.8)]
    items = reel._planned(teaching_parts(keyed), FPS)
    assert [item.frames for item in items] == [45, 84, 114, 198, 42, 42, 90]
    assert [item.part.slow for item in items if item.stretch] == [1.0, 0.5, 0.25, 1.0, 1.0]
    assert [m.word for _, m in items[-2].part.panels] == ["CORRECT"]


def test_the_file_is_what_was_planned(tmp_path):
    found = write_reel(tmp_path / "a.mp4", teaching_parts(pair(9.8)), look=SMALL, fps=FPS)
    cues = read((tmp_path / "a.vtt").read_text(encoding="utf-8"))
    with av.open(str(tmp_path / "a.mp4")) as file:
        frames = [f.to_ndarray(format="rgb24") for f in file.decode(video=0)]
    assert len(frames) == found.frames == 45 + 84 + 84 + 168 + 42 + 42 + 90
    assert abs(cues[-1][1] - len(frames) / FPS) < 1e-3 and cues[0][0] == 0
    title = card_picture(teaching_parts(pair(9.8))[0].card, SMALL.size, THEMES["light"])
    like = [np.abs(f.astype(float) - title).mean() < CARD_LIKE for f in frames]
    assert like == [True] * 45 + [False] * (len(frames) - 45)


def test_speed_labels_differ():
    """The words in the lower right corner change with the speed, and only there."""
    boxes = []
    for slow in (1.0, 0.5, 0.25):
        panels = pair(3.0)
        times = [np.array([1.0])] * 2
        boxes.append(next(Scene(panels, times, look=SMALL, slow=slow).frames()).copy())
    for one, other in ((0, 1), (1, 2)):
        rows, columns = np.nonzero(np.abs(boxes[one].astype(int) - boxes[other]).sum(-1))
        assert rows.min() > 340 and columns.min() > 580


@pytest.mark.parametrize("slows", [(1.0, 0.5, 0.25, 1.0), (0.3, 1.0, 0.7)])
def test_the_stroke_does_not_jump_at_a_seam(slows):
    """From picture to picture the phase grows by a step; across a seam by one between the two steps."""
    panel = uneven()
    stretches = planned([Part((panel,), slow=slow) for slow in slows] * 3)
    last, fast = None, None
    for part, stretch in stretches:
        trace, marks = panel
        phase = np.unwrap(phase_at(marks, trace, stretch.clocks[0].times_s), period=1.0)
        step = part.slow / FPS / UNEVEN_S
        assert np.abs(np.diff(phase) - step).max() < 1e-9
        if last is not None:
            across = (phase[0] - last) % 1.0
            assert min(step, fast) - 1e-9 <= across <= max(step, fast) + 1e-9
        last, fast = phase[-1], step


def test_each_stretch_begins_within_a_picture_of_the_entry():
    for part, stretch in planned([Part((uneven(),), slow=s) for s in (1.0, 0.5, 0.25, 1.0, 1.0)]):
        phase = phase_at(*reversed(uneven()), stretch.clocks[0].times_s)
        assert 0 <= phase[0] < part.slow / FPS / UNEVEN_S + 1e-9


def test_what_passes_by_goes_on_at_a_seam():
    """The way shown, less whole patterns, grows by a step of swimming across every seam."""
    stretches = planned([Part((uneven(),), slow=1.0)] * 14)  # more periods than there are
    ways = np.concatenate([SPEED_M_S * c.times_s + (0 if c.drift_m is None else c.drift_m)
                           for _, s in stretches for c in s.clocks])  # fmt: skip
    jumps = (np.diff(ways) - SPEED_M_S / FPS) / PATTERN_M
    assert np.abs(jumps).max() > 1, "there are seams"
    assert np.abs(jumps - np.round(jumps)).max() < 1e-9


def test_a_stop_shows_the_key_picture_for_a_second():
    ((_, stretch),) = planned([Part((uneven(),), slow=0.5, stop_at=0.4)])
    where = int(np.argmax(stretch.repeats))
    assert stretch.repeats[where] == 31 and stretch.n_frames == len(stretch.repeats) + 30
    share = phase_at(*reversed(uneven()), stretch.clocks[0].times_s)[where]
    assert abs(share - 0.4) < 1e-9


def test_two_stops_show_two_key_pictures():
    ((_, stretch),) = planned([Part((uneven(),), slow=0.25, stop_at=(0.43, 0.4), stop_s=0.5)])
    shares = phase_at(*reversed(uneven()), stretch.clocks[0].times_s)[stretch.repeats > 1]
    assert np.abs(shares - [0.4, 0.43]).max() < 1e-9
    assert stretch.n_frames == len(stretch.repeats) + 30


def test_locked_panels_show_the_same_share():
    panels = two_tempi()
    for _, stretch in planned([Part(panels, slow=s) for s in (1.0, 0.5, 1.0, 1.0, 1.0)]):
        shares = [phase_at(m, t, c.times_s) for (t, m), c in zip(panels, stretch.clocks, strict=True)]
        away = np.abs((shares[0] - shares[1] + 0.5) % 1.0 - 0.5)
        assert away.max() < 1e-9


def test_real_time_panels_keep_their_own_clock():
    panels = two_tempi()
    before = None
    for part, stretch in planned(
        [Part(panels, slow=s, locked=False) for s in (1.0, 0.5, 1.0, 1.0, 1.0, 1.0)]
    ):
        for clock in stretch.clocks:
            assert np.abs(np.diff(clock.times_s) - part.slow / FPS).max() < 1e-9
        share = phase_at(*reversed(panels[1]), stretch.clocks[1].times_s)
        if before is not None:
            assert 0 < (share[0] - before) % 1.0 < 1.01 / FPS / 1.6, (
                "no jump in the panel that is not counted"
            )
        before = share[-1]


def with_one_more(clock):
    """The clock of a loop and of the one picture that would come next."""
    count = len(clock.times_s)
    way = clock.drift_m[-1] * count / (count - 1)
    return Clock(
        np.append(clock.times_s, clock.times_s[0] + clock.loop_s), np.append(clock.drift_m, way), clock.loop_s
    )


@functools.cache
def swum(preset):
    """Trace and marks of a swimmer of ours, whose cycle is no whole number of pictures."""
    motion = made(preset).motion
    trace = motion.trace(60.0, 6.0 * motion.cycle_s, meta={"stature_m": 1.8})
    return trace, marks_for(trace, fault=True, cycle_s=motion.cycle_s)


@pytest.mark.parametrize("views", [("side_left",), ("below",), ("front", "side_right")])
@pytest.mark.parametrize(("source", "levels"), [("even", CLOSED_LEVELS), ("masters_man", CLOSED_EDGE_LEVELS)])
def test_a_loop_closes(source, levels, views):
    """Body, trail, marks and bar of the picture after the last are those of the first.

    It begins clear of the entry, where a splash or ring is there in one picture and gone in the next.
    """
    panels = [pair(8.4)[0] if source == "even" else swum(source)]
    ((_, stretch),) = planned([Part(tuple(panels), start=1 / 7, loop=True)])
    look = replace(SMALL, views=views, style="stick")
    scene = Scene(panels, [with_one_more(c) for c in stretch.clocks], look=look)
    pictures = [frame.astype(np.int16) for frame in scene.frames()]
    assert len(pictures) == stretch.n_frames + 1
    away = np.abs(pictures[0] - pictures[-1])
    assert away.max() <= levels and away.mean() < 0.01
    assert np.abs(pictures[0] - pictures[-2]).mean() > 0.3, "the picture before it is another one"


def test_marks_of_a_loop_pass_at_the_nearest_speed_that_closes():
    """By hand: 1.4 s at 1.45 m/s is 2.03 m, shown as 2 m; 1.75 m needs four periods for 7 m.

    2.1 m closes no pattern of 1 m within 3 %, but two periods close tiles of 0.25 m: 4.25 m for 4.2 m.
    """
    ((_, stretch),) = planned([Part(tuple(pair(9.8)), loop=True)])
    for clock in stretch.clocks:
        way = SPEED_M_S * clock.loop_s + clock.drift_m[-1] * len(clock.times_s) / (len(clock.times_s) - 1)
        assert abs(way - 2.0) < 1e-9 and abs(clock.loop_s - CYCLE_S) < 1e-9
    trace = swimmer(9.8)
    for speed, periods, shown in ((1.25, 4, 7.0), (1.5, 2, 4.25)):
        other = replace(trace, meta={**trace.meta, "speed_m_s": speed})
        ((_, stretch),) = planned([Part(((other, marks_for(trace, fault=True)),), loop=True)])
        (clock,) = stretch.clocks
        count = len(clock.times_s)
        assert abs(clock.loop_s - periods * CYCLE_S) < 1e-9
        assert abs(speed * clock.loop_s + clock.drift_m[-1] * count / (count - 1) - shown) < 1e-9


def test_a_loop_is_written_without_cards(tmp_path):
    assert write_clip(tmp_path / "loop.mp4", pair(4.2), options=ClipOptions(look=SMALL, loop=True)) == 42


def test_a_breathing_period_may_hold_several_cycles():
    trace, marks = uneven()
    breathing = replace(trace, meta={**trace.meta, "period_cycles": 2})
    ((_, stretch),) = planned([Part(((breathing, marks),), loop=True)])
    assert abs(stretch.clocks[0].loop_s / (2 * UNEVEN_S) - 1) < 1e-9


@pytest.mark.parametrize("name", VIEWS)
def test_a_mirrored_camera_sees_the_mirror_image(name):
    points = np.random.default_rng(3).uniform([-1, -0.5, -0.8], [1.2, 0.5, 0.3], (40, 3))[None]
    camera = replace(named_camera(name), distortion=(0.1, -0.05, 0.01, 0.02, 0.003))
    seen, flipped = project(camera, points), project(mirrored_camera(camera), points * [1, -1, 1])
    assert np.abs(flipped[..., 1] - seen[..., 1]).max() < 1e4 * ALGEBRA
    assert np.abs(flipped[..., 0] + seen[..., 0] - (camera.size_px[0] - 1)).max() < 1e4 * ALGEBRA


@pytest.mark.parametrize("style", ["stick", "solid"])
@pytest.mark.parametrize("view", ["side_left", "front", "overhead"])
def test_a_mirrored_picture_is_flipped_but_for_its_words(style, view):
    pytest.importorskip(f"swimsim.view.{style}")
    look = Look(size=(640, 360), views=(view,), style=style)
    panels = pair(3.0)[:1]
    plain, flipped = (
        picture(panels, at_s=1.1, options=ClipOptions(look=replace(look, mirror=m))).astype(float)
        for m in (False, True)
    )
    scene = Scene(panels, [np.array([1.1])], look=look)
    box = scene.page.panels[0].views[0]
    one, other = box.cut(plain)[20:], box.cut(flipped)[20:]
    assert np.abs(one[:, ::-1] - other).mean() < MIRROR_LEVELS < np.abs(one - other).mean()
    words = slice(0, box.y)
    assert np.array_equal(plain[words], flipped[words])


def test_mirroring_twice_changes_nothing():
    trace, marks = pair(1.0)[0]
    again, back = mirrored_panel(*mirrored_panel(trace, marks))
    assert np.array_equal(again.joints_m, trace.joints_m) and again.joint_names == trace.joint_names
    assert back.limb == marks.limb


def test_only_what_moves_is_drawn_and_converted_again():
    """The short way gives the same planes as drawing and converting every picture whole."""
    look = Look(size=(640, 360), views=("side_left", "front"), theme=THEMES["light"].in_video())
    panels, times = pair(2.0), np.arange(8) / 15
    lay = writer.planes_of((640, 360))
    buffer, whole = np.empty((540, 640), np.uint8), np.empty((540, 640), np.uint8)
    scene = Scene(panels, [times, times], look=look)
    for i, frame in enumerate(scene.frames()):
        lay(frame, buffer, scene.rows if i else None)
        alone = next(Scene(panels, [times[i : i + 1]] * 2, look=replace(look, trail=False)).frames())
        lay(frame, whole)
        assert np.array_equal(buffer, whole)
        away = np.abs(frame.astype(int) - alone).sum(-1)
        for box in scene.moving:
            box.cut(away)[:] = 0
        assert away.max() == 0


@pytest.mark.parametrize("style", ["stick", "solid"])
@pytest.mark.parametrize("view", ["side_left", "below"])
def test_pictures_do_not_depend_on_how_many_are_planned_at_once(monkeypatch, style, view):
    panels, times = [swum("pace400_man")], np.arange(20) / 30
    look = replace(SMALL, views=(view,), style=style)
    found = []
    for stretch in (60, 7):
        monkeypatch.setattr(scene_module, "STRETCH", stretch)
        found.append([f.copy() for f in Scene(panels, [times], look=look).frames()])
    assert all(np.array_equal(a, b) for a, b in zip(*found, strict=True))


def test_rows_that_move_are_even_and_hold_all_boxes():
    scene = Scene(pair(1.0), [np.zeros(1)] * 2, look=Look(size=(654, 366), views=("side_left", "front")))
    top, low = scene.rows
    assert top % 2 == 0 and low % 2 == 0
    assert all(top <= box.y and box.y + box.h <= low for box in scene.moving)


@pytest.mark.parametrize("style", ["stick", "solid"])
def test_a_ghost_swims_hip_by_hip_behind(style):
    """Where the second swimmer's elbow would be in a picture of its own, its line is drawn in its own colour."""
    slow = swimmer(4.0, cycle_s=1.6)
    slow = replace(slow, joints_m=slow.joints_m - [0.3, 0, 0] * slow.time_s[:, None, None])
    slow = replace(slow, meta={**slow.meta, "speed_m_s": SPEED_M_S - 0.3})
    panels = [pair(3.0)[0], (slow, marks_for(slow, fault=False, cycle_s=1.6))]
    look = Look(size=(1280, 720), layout="ghost", trail=False, style=style)
    drawn = picture(
        panels, at_s=1.05, options=ClipOptions(look=look)
    )  # three quarters of a cycle: 1.2 s of the slower
    scene = Scene(panels, [np.array([1.05]), np.array([1.2])], look=look)
    box, camera = scene.page.panels[0].views[0], scene.panels[0].cameras[0]
    for name in ("left_elbow", "left_wrist"):
        place = slow.joint(name)[round(1.2 * 60)][None, None]
        x, y = project(camera, place, shift_m=np.array([(SPEED_M_S - 0.3) * 1.2]))[0, 0]
        patch = drawn[
            round(y) + box.y - 1 : round(y) + box.y + 2, round(x) + box.x - 1 : round(x) + box.x + 2
        ]
        assert (patch == THEMES["light"].correct).all()


def test_a_ghost_has_the_words_of_both():
    scene = Scene(pair(3.0), [np.array([1.0])] * 2, look=Look(size=(1280, 720), layout="ghost"))
    drawn = next(scene.frames())
    for boxes, colour in zip(scene.page.panels, ("fault", "correct"), strict=True):
        strip = boxes.header
        assert tuple(drawn[strip.y + 2, strip.x + strip.w - 3]) == getattr(THEMES["light"], colour)
    assert [p.marks.title for p in scene.panels] == [
        "dropped elbow, left arm",
        "pale: elbow above the hand",
    ]


def test_a_ghost_alone_is_a_single_picture():
    one = pair(3.0)[:1]
    pictures = [picture(one, at_s=1.0, options=ClipOptions(look=Look(layout=k))) for k in ("ghost", "single")]
    assert np.array_equal(*pictures)


def test_webm(tmp_path):
    assert write_clip(tmp_path / "a.webm", pair(1.0), options=ClipOptions(look=SMALL)) == 31 + 90
    with av.open(str(tmp_path / "a.webm")) as file:
        assert "webm" in file.format.name
        stream = file.streams.video[0]
        assert (
            stream.codec_context.name in ("vp9", "libvpx-vp9") and stream.codec_context.pix_fmt == "yuv420p"
        )
        assert (stream.codec_context.width, stream.codec_context.height) == (640, 360)
        frames = [f.to_ndarray(format="rgb24") for f in file.decode(video=0)]
    drawn = picture(pair(1.0), at_s=0.0, options=ClipOptions(look=SMALL)).astype(float)
    assert len(frames) == 121 and np.abs(frames[0] - drawn).mean() < CARD_LIKE


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ([], "one part or more, got none"),
        ([Part(tuple(pair(4.2)), length=9)], "within 3.00 breathing periods, got 0 to 9"),
        ([Part(tuple(pair(4.2)), start=2.5, length=1)], "within 3.00 breathing periods, got 2.5 to 3.5"),
        ([Part(tuple(pair(4.2)), loop=True, length=1.5)], "whole breathing periods"),
        ([Part(tuple(pair(4.2)), loop=True, locked=False)], "got real time"),
        ([Part(tuple(pair(4.2)), stop_at=1.5)], "stop: expected a share within the part"),
        ([Part(tuple(pair(4.2)), caption="word " * 30)], "at most 2 lines of 42"),
        ([Part(tuple(pair(4.2)), layout="sidebyside")], "did you mean 'side_by_side'"),
    ],
)
def test_wrong_parts_are_refused_and_leave_nothing(tmp_path, parts, words):
    with pytest.raises(InputError, match=words):
        write_reel(tmp_path / "a.mp4", parts, look=SMALL, fps=FPS)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Part(), "either panels or a card"),
        (lambda: Part(tuple(pair(1.0)), slow=0), "slow: expected a positive number, got 0"),
        (lambda: Part(tuple(pair(1.0)), length=-1), "length: expected a positive number, got -1"),
        (lambda: Part(tuple(pair(1.0)), unit="min"), "unit: expected period or s, got 'min'"),
        (lambda: Timeline(0).plan(Part(tuple(pair(1.0)))), "fps: expected a positive number"),
        (lambda: teaching_parts([]), "one panel or more"),
        (lambda: Card(), "expected a heading or lines, got none"),
        (
            lambda: picture(pair(1.0), at_s=0.0, options=ClipOptions(look=Look(style="solidd"))),
            "mean 'solid'",
        ),
    ],
)
def test_wrong_input_is_one_clear_error(make, words):
    with pytest.raises(InputError, match=words):
        make()


def test_a_failure_in_a_later_part_leaves_nothing(tmp_path):
    def stop(done, total):
        if done == 60:
            raise KeyboardInterrupt("stopped by hand")

    with pytest.raises(KeyboardInterrupt, match="by hand"):
        write_reel(tmp_path / "a.mp4", teaching_parts(pair(9.8)), look=SMALL, progress=stop)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("size", [(320, 180), (360, 640), (640, 360), (1280, 720), (1920, 1080)])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_cards_hold_their_words_inside(size, theme):
    """A margin of page colour all round, and words in the middle, at every size."""
    card = Card("dropped elbow, left arm", ("Push the water back past your hip",) * 2, word="FAULT")
    for each in (card, teaching_parts(pair(9.8))[-1].card):
        drawn = card_picture(each, size, THEMES[theme]).astype(int)
        away = np.abs(drawn - np.array(THEMES[theme].page)).sum(-1)
        edge = max(4, size[0] // 80)
        low = drawn.shape[0] // 3
        assert away[low:, :edge].max() == 0 and away[low:, -edge:].max() == 0 and away[-edge:].max() == 0
        assert away.max() > 300


def test_a_card_with_too_many_words_is_refused():
    with pytest.raises(InputError, match="expected fewer words for 320 x 180 pixels"):
        card_picture(Card("long", ("so many words " * 60,)), (320, 180), THEMES["light"])


def test_marks_without_phase_have_one_period_of_all():
    ((_, stretch),) = planned([Part(((swimmer(2.0), Marks()),))])
    assert len(stretch.repeats) == 60
