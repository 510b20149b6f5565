"""SECOND METHOD: a strict reader of the WebVTT grammar; HAND-COUNTED: times; COMMON PRACTICE: 2 lines of 42."""

import re

import pytest

from swimsim.ground.errors import InputError
from swimsim.view.captions import Cue, caption_lines, shortened, webvtt, write_captions

STAMP = r"\d{2,}:[0-5]\d:[0-5]\d\.\d{3}"
TIMES = re.compile(rf"({STAMP}) --> ({STAMP})")
ENTITY = re.compile(r"&(amp|lt|gt|lrm|rlm|nbsp);")


class NotWebVTT(Exception):
    """A file that the grammar does not allow."""


def need(fine, what):
    if not fine:
        raise NotWebVTT(what)


def read(text):
    """Cues of a WebVTT file by the W3C grammar without settings, regions and styles; refuses all else."""
    need(text.startswith("WEBVTT\n\n") and text.endswith("\n") and "\r" not in text, "signature or line ends")
    cues, before = [], -1.0
    for block in text.removeprefix("WEBVTT\n\n").rstrip("\n").split("\n\n"):
        lines = block.split("\n")
        need(all(lines), "empty line inside a block")
        if lines[0] == "NOTE" or lines[0].startswith("NOTE "):
            need("-->" not in block, "arrow in a note")
            continue
        lines = lines if "-->" in lines[0] else lines[1:]  # without the name of the cue
        times = TIMES.fullmatch(lines[0]) if lines else None
        need(times, "times")
        start, end = (seconds(stamp) for stamp in times.groups())
        need(before <= start < end, "order of times")
        before = start
        need(len(lines) > 1, "no words")
        for line in lines[1:]:
            need(not re.search("-->|<|>|&", ENTITY.sub("", line)), "sign that must be escaped")
        cues.append((start, end, lines[1:]))
    return cues


def seconds(stamp):
    hours, minutes, rest = stamp.split(":")
    return 3600 * int(hours) + 60 * int(minutes) + float(rest)


def test_times_and_words_by_hand():
    text = webvtt([Cue(0, 1.5, "FAULT: dropped elbow"), Cue(1.5, 3661.0625, "press the water back")])
    assert "00:00:00.000 --> 00:00:01.500\nFAULT: dropped elbow\n" in text
    assert "00:00:01.500 --> 01:01:01.062\npress the water back\n" in text
    assert read(text) == [(0.0, 1.5, ["FAULT: dropped elbow"]), (1.5, 3661.062, ["press the water back"])]


def test_signs_of_the_format_are_written_as_words_of_it():
    text = webvtt([Cue(0, 1, "a < b & c --> d")])
    assert "a &lt; b &amp; c --&gt; d" in text
    assert len(read(text)) == 1


@pytest.mark.parametrize(
    "text",
    [
        "short",
        "Quarter speed. Push the water back past your hip.",
        "a" * 42,
        "one word after another until the first of the lines is full and no more",
    ],
)
def test_lines_are_short_and_few(text):
    lines = caption_lines(text)
    assert 1 <= len(lines) <= 2 and max(map(len, lines)) <= 42
    assert " ".join(lines) == text


def test_two_lines_are_of_like_length():
    assert caption_lines("Quarter speed. Push the water back past your hip.") == [
        "Quarter speed. Push the",
        "water back past your hip.",
    ]


def test_a_long_text_is_shortened_between_words():
    long = "every hand that goes into the water, " * 4
    short = shortened(long)
    assert short.endswith("…") and len(caption_lines(short)) == 2
    assert long.startswith(short.removesuffix("…"))
    assert shortened("short enough") == "short enough"


@pytest.mark.parametrize(
    ("cues", "words"),
    [
        ([Cue(0, 1, "word " * 30)], "at most 2 lines of 42 letters"),
        ([Cue(0, 1, " ")], "caption 1: expected words, got none"),
        ([Cue(1, 1, "no time")], "caption 1: expected times in order, got 1.000 to 1.000"),
        ([Cue(1, 2, "late"), Cue(0, 1, "early")], "caption 2: expected times in order"),
    ],
)
def test_wrong_captions_are_refused_and_leave_nothing(tmp_path, cues, words):
    with pytest.raises(InputError, match=words):
        write_captions(tmp_path / "clip.vtt", cues)
    assert list(tmp_path.iterdir()) == []


def test_no_captions_are_still_a_file_of_the_format(tmp_path):
    write_captions(tmp_path / "clip.vtt", [])
    assert read((tmp_path / "clip.vtt").read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("WEBVTT\n\n00:00:01.000 --> 00:00:02.000\n\nwords\n", "no words"),
        ("WEBVTT\n\n1\n00:00:02.000 --> 00:00:01.000\nwords\n", "order of times"),
        ("WEBVTT\n\n1\n00:00:00,000 --> 00:00:01,000\nwords\n", "times"),
        ("WEBVTT\n\n1\n00:00:00.000 --> 00:00:01.000\na & b\n", "escaped"),
        ("1\n00:00:00.000 --> 00:00:01.000\nwords\n", "signature"),
    ],
)
def test_the_reader_itself_refuses_what_is_wrong(text, what):
    with pytest.raises(NotWebVTT, match=what):
        read(text)
