"""Options of `clip`. HAND-COUNTED: pictures; SECOND METHOD: files read by PyAV; INVARIANT: mirror, quiz, words."""

import dataclasses
import re

import numpy as np
import pytest
from test_captions import read

import swimsim
from swimsim.cli.main import run_program
from swimsim.ground.errors import InputError
from swimsim.scenario.play import play
from swimsim.scenario.read import read_scenario
from swimsim.scenario.wishes import drawn_as
from swimsim.teaching.script import Wish, clip_parts
from swimsim.view.colours import THEMES
from swimsim.view.person import SKINS

av = pytest.importorskip("av")
#: 40 cycles a minute and 30 pictures a second: 45 pictures in a cycle. Half a second is 15.
KEYS = {
    "stroke": {"stroke_rate_per_min": 40.0},
    "fault": [{"fault": "early_exit", "severity": 0.9}],
    "output": {"views": ["side_left"], "size": [320, 180], "fps": 30},
}
SHORT = (
    '[stroke]\nstroke_rate_per_min = 40.0\n[[fault]]\nfault = "early_exit"\nseverity = 0.9\n[output]\n'
    'views = ["side_left"]\nsize = [320, 180]\nfps = 30\nseconds = 0.5\n'
)
CARD, CYCLE, HALF_SECOND = 90, 45, 15  # pictures
COLOUR_LEVELS = 40  # encoding moves a colour of a strip by less
MIRROR_LEVELS = (
    5.0  # mean grey levels: edges fall between other pixels, a number is not turned over, the encoder smears
)


@pytest.fixture(scope="module")
def played():
    return play(read_scenario(KEYS))


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A function that runs `swimsim clip` once for each set of options; gives the path of the clip."""
    folder, known = tmp_path_factory.mktemp("clips"), {}
    (folder / "short.toml").write_text(SHORT)

    def make(*options, suffix=".mp4"):
        key = (*options, suffix)
        if key not in known:
            known[key] = folder / f"{len(known)}{suffix}"
            source = [str(folder / "short.toml"), "--out", str(known[key])]
            assert run_program(["clip", *source, *options]) == 0
        return known[key]

    return make


def pictures(path):
    with av.open(str(path)) as file:
        return [frame.to_ndarray(format="rgb24") for frame in file.decode(video=0)]


def near(picture, colour):
    """How many pixels have about this colour."""
    return int((np.abs(picture.astype(int) - colour).max(axis=-1) < COLOUR_LEVELS).sum())


# ---- the file that each option gives


@pytest.mark.parametrize(
    ("options", "count"),
    [
        ((), HALF_SECOND + CARD),  # `seconds` alone asks for one plain stretch
        (("--speed", "0.5"), 2 * HALF_SECOND + CARD),
        (("--layout", "single"), 2 * HALF_SECOND + CARD),  # one swimmer after the other
        (("--layout", "ghost"), HALF_SECOND + CARD),
        (("--quiz",), HALF_SECOND + CARD),
        (("--quiz", "--layout", "single"), HALF_SECOND + CARD),
        (("--real-time",), HALF_SECOND + CARD),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_pictures_of_each_option_by_hand(made, options, count):
    assert len(pictures(made(*options))) == count


def test_a_loop_has_whole_periods_and_no_card(made):
    loop = pictures(made("--loop"))
    assert len(loop) % CYCLE == 0
    assert 1 <= len(loop) // CYCLE <= 4
    assert np.abs(loop[0].astype(float) - loop[-1]).mean() < 5  # a card would differ by tens


def test_captions_lie_beside_a_clip_and_tell_what_it_shows(made):
    cues = read(made().with_suffix(".vtt").read_text(encoding="utf-8"))
    assert [" ".join(cue[-1]) for cue in cues] == [
        "FAULT: early exit. With it: CORRECT.",
        "A model, not a person. Stop if anything hurts.",
    ]


def test_the_theme_colours_the_panels(made):
    dark, light = (pictures(made(*options))[5] for options in (("--theme", "dark"), ()))
    assert near(dark, THEMES["dark"].fault) > 300 > near(dark, THEMES["light"].fault)
    assert near(light, THEMES["light"].fault) > 300 > near(light, THEMES["dark"].fault)


def test_a_quiz_has_no_colour_of_either_word_and_no_captions(made):
    path = made("--quiz")
    for picture in pictures(path)[:-CARD]:
        assert near(picture, THEMES["light"].fault) == 0
        assert near(picture, THEMES["light"].correct) == 0
    assert not path.with_suffix(".vtt").exists()


def test_a_quiz_takes_away_the_captions_of_an_earlier_clip_of_its_name_and_nobody_else_s(tmp_path):
    (tmp_path / "short.toml").write_text(SHORT)
    clip = ["clip", str(tmp_path / "short.toml"), "--out", str(tmp_path / "a.mp4")]
    assert run_program(clip) == 0
    assert (tmp_path / "a.vtt").is_file()
    assert run_program([*clip, "--quiz"]) == 0
    assert not (tmp_path / "a.vtt").exists()
    (tmp_path / "a.vtt").write_text("WEBVTT\n\nNOTE\nmine\n")
    assert run_program([*clip, "--quiz"]) == 0
    assert (tmp_path / "a.vtt").is_file()


def test_a_loop_of_one_swimmer_after_the_other_has_whole_periods_of_both(made):
    assert len(pictures(made("--loop", "--layout", "single"))) == 2 * len(pictures(made("--loop")))


def test_the_style_changes_the_figure_alone(made):
    """In a quiz nothing is dimmed, so the skin has its own colour."""
    solid, stick = (
        pictures(made("--quiz", "--layout", "single", "--style", style))[5] for style in ("solid", "stick")
    )
    assert near(solid, SKINS["light"]) > 500
    assert near(stick, SKINS["light"]) == 0
    assert np.abs(solid[-16:].astype(int) - stick[-16:]).mean() < 1  # the footer


def test_a_mirror_exchanges_left_and_right(made):
    here, there = (pictures(made(*o, "--layout", "single"))[5].astype(float) for o in ((), ("--mirror",)))
    low, high = 60, 120  # below the words in the corner, above the phase bar [px]
    print(
        np.abs(here[low:high] - there[low:high, ::-1]).mean(), np.abs(here[low:high] - there[low:high]).mean()
    )
    assert np.abs(here[low:high] - there[low:high, ::-1]).mean() < MIRROR_LEVELS
    assert np.abs(here[low:high] - there[low:high]).mean() > 2 * MIRROR_LEVELS


def test_a_size_is_given_as_width_and_height(made):
    assert pictures(made("--size", "360x640"))[0].shape == (640, 360, 3)


def test_webm_and_gif_by_the_name_of_the_file(made):
    webm, gif = made(suffix=".webm"), made(suffix=".gif")
    assert webm.read_bytes()[:4] == b"\x1a\x45\xdf\xa3"  # EBML
    assert webm.with_suffix(".vtt").is_file()
    assert gif.read_bytes()[:6] == b"GIF89a"
    assert not gif.with_suffix(".vtt").exists()
    with av.open(str(gif)) as file:
        assert file.streams.video[0].average_rate == 25
    assert len(pictures(gif)) == round(0.5 * 25) + 3 * 25


# ---- the script


def spans(parts):
    """(panels, speed, length, stops) of every part with swimming, cards as their heading or first line."""
    return [
        (part.card.heading or part.card.lines[0])
        if part.card
        else (len(part.panels), part.slow, part.length, len(part.stops))
        for part in parts
    ]


def test_a_clip_of_a_scenario_is_the_standard_sequence(played):
    *sequence, caution = spans(clip_parts(played))
    assert sequence == [
        "early exit",
        (2, 1.0, 2.0, 0),
        (2, 0.5, 1.0, 2),
        (2, 0.25, 1.0, 2),
        (2, 1.0, 1.0, 0),
        (1, 1.0, 1.0, 0),
    ]
    assert caution.startswith("Stop if you feel pain")
    assert clip_parts(played)[-2].panels[0][1].word == "CORRECT"


def test_speeds_of_the_scenario_make_the_stretches():
    own = {**KEYS["output"], "speeds": [0.5, 1, 0.75], "seconds": 6.0}
    parts = clip_parts(play(read_scenario({**KEYS, "output": own})))
    assert [part.slow for part in parts if part.panels] == [0.5, 1.0, 0.75, 1.0]
    assert parts[1].length == 4.0  # 6 s of 1.5 s
    assert "Speed 0.75." in parts[3].caption


def test_a_scattered_stroke_stops_in_the_stroke_whose_number_it_shows():
    scatter = {"stroke": {"stroke_rate_per_min": 40.0, "variability": True}}
    played = play(read_scenario({**KEYS, **scatter, "breathing": {"side": "left", "every": 2}}))
    period = played.fault.pattern.period_cycles
    assert period > 2
    slow = [part for part in clip_parts(played) if part.slow < 1]
    assert len(slow) == 2
    for part in slow:
        assert part.length * period == pytest.approx(1)  # a breath every second stroke: one cycle
        assert part.start * period == pytest.approx(1)  # the second stroke: the first whole one after a start
        keys = [part.start * period + stop for stop in part.stops]
        assert keys == pytest.approx(sorted(marks.key_share for _, marks in part.panels))


def test_swimmers_come_one_after_the_other_in_a_single_clip_and_the_fault_alone_in_a_quiz(played):
    single = dataclasses.replace(played, scenario=drawn_as(played.scenario, layout="single"))
    words = [part.panels[0][1].word for part in clip_parts(single) if part.panels]
    assert words == ["FAULT"] * 4 + ["CORRECT"] * 4
    quiz = clip_parts(single, Wish(quiz=True))
    swum = [part for part in quiz if part.panels]
    assert len(swum) == 4
    assert all(part.panels[0][0] is played.fault.trace for part in swum)
    assert not any(part.caption for part in quiz)
    assert all(part.panels[0][1].word == part.panels[0][1].value == "" for part in swum)


def test_a_loop_has_one_stretch_and_real_time_is_kept(played):
    (part,) = clip_parts(played, Wish(loop=True))
    assert part.loop
    free = drawn_as(played.scenario, locked=False)
    parts = clip_parts(dataclasses.replace(played, scenario=free))
    assert not any(part.locked for part in parts if len(part.panels) > 1)


# ---- what does not go


def test_every_wrong_option_is_said_at_once():
    with pytest.raises(InputError, match="--layout") as caught:
        drawn_as(
            read_scenario(),
            views=["frnt"],
            layout="gost",
            theme="drak",
            size="20x20",
            speed=5.0,
            style="stik",
        )
    lines = str(caught.value).split("\n")
    assert sorted(line.split(":")[0] for line in lines) == [
        "--layout",
        "--size",
        "--speed",
        "--style",
        "--theme",
        "--view",
    ]
    assert all("expected" in line and "got" in line for line in lines)


@pytest.mark.parametrize(
    ("options", "match"),
    [
        (["--size", "big"], "--size: expected width x height such as 640x360, got 'big'"),
        (["--size", "641x360"], "--size: expected even numbers of pixels, got 641 by 360"),
        (["--layout", "beside"], "--layout: expected side_by_side, stacked, single or ghost, got 'beside'"),
        (["--speed", "2"], "--speed: expected a number from 0.05 to 1, got 2"),
        (["--loop", "--real-time"], "--loop: expected both swimmers at the same share of the stroke"),
        (["--quiz", "--layout", "ghost"], "--quiz: expected the layout side_by_side, .* got ghost"),
        (["--out", "x.mov"], "x.mov: output: expected a file name ending in .mp4, .webm or .gif"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_a_wrong_option_is_one_line_code_2_and_leaves_nothing(tmp_path, monkeypatch, capsys, options, match):
    monkeypatch.chdir(tmp_path)
    assert run_program(["clip", *options]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert re.search(match, said)
    assert list(tmp_path.iterdir()) == []


def test_a_planar_swimmer_is_not_shown_from_the_front():
    with pytest.raises(InputError, match=r"views: expected side views .* got 'front'"):
        drawn_as(read_scenario({"dimensions": 2}), views=["front"])


def test_a_misspelt_keyword_is_refused():
    with pytest.raises(TypeError, match="no such option: 'layuot'; did you mean 'layout'"):
        swimsim.clip(layuot="single")


def test_a_stopped_clip_leaves_neither_clip_nor_captions(tmp_path, monkeypatch):
    def stop(text, done, total):
        if done:
            raise KeyboardInterrupt("enough")

    monkeypatch.chdir(tmp_path)
    with pytest.raises(KeyboardInterrupt, match="enough"):
        swimsim.clip(KEYS, "a.mp4", progress=stop)
    assert list(tmp_path.iterdir()) == []
