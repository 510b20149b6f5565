"""SECOND METHOD: the W3C's own WebVTT parser and validator (npm webvtt-parser) reads the captions we write.

Source: WebVTT, W3C Candidate Recommendation 4 April 2019; parser by A. van Kesteren, github.com/w3c/webvtt.js.
`.ci/run` installs the parser and tells its folder in NODE_PATH; without it these tests are skipped.
"""

import functools
import json
import shutil
import subprocess
from pathlib import Path

import pytest
from drawn_swimmer import pair
from played_faults import played
from tolerances import printed

from swimsim.ground.conventions import MODEL_LINE
from swimsim.teaching.review import review_parts
from swimsim.view.captions import Cue, webvtt
from swimsim.view.look import Look
from swimsim.view.reel import teaching_parts, write_reel

READER = Path(__file__).with_name("webvtt_errors.js")
TINY = {"look": Look(size=(640, 360)), "fps": 5.0}  # captions do not depend on size or rate
MILLISECOND = printed("0.001")  # a WebVTT time has three decimals
GOOD = "WEBVTT\n\n1\n00:00:01.000 --> 00:00:02.000\nPress the water back\n"
BROKEN = {
    "signature": GOOD.replace("WEBVTT", "WEBVT"),
    "signature is not followed": GOOD.replace("WEBVTT\n\n", "WEBVTT\n"),
    "comma instead of a point": GOOD.replace("01.000", "01,000"),
    "minutes of one digit": GOOD.replace("00:00:01", "00:0:01"),
    "seventy seconds": GOOD.replace("00:00:02", "00:00:70"),
    "ends before it begins": GOOD.replace("00:00:02", "00:00:00"),
    "arrow without space": GOOD.replace(" --> ", "-->"),
    "bare ampersand": GOOD.replace("Press", "Press & hold"),
    "bare angle": GOOD.replace("Press", "angle < 40"),
    "open tag": GOOD.replace("Press", "<b>Press"),
    "out of order": GOOD + "\n2\n00:00:00.500 --> 00:00:02.000\nToo early\n",
    "unknown setting": GOOD.replace("02.000", "02.000 colour:red"),
}


@functools.cache
def absence():
    """Why the parser cannot be used here; empty if it can."""
    if shutil.which("node") is None:
        return "node is not on this machine"
    asked = subprocess.run(["node", "-e", "require('webvtt-parser')"], capture_output=True, text=True)
    return "" if asked.returncode == 0 else "the npm package webvtt-parser is not in NODE_PATH"


@pytest.fixture(autouse=True)
def parser():
    if absence():
        pytest.skip(f"{absence()}; .ci/run installs it")


def told(text):
    """What the parser says about one file: its errors, and its cues."""
    asked = json.dumps([text])
    answer = subprocess.run(["node", str(READER)], input=asked, capture_output=True, text=True, check=True)
    return json.loads(answer.stdout)[0]


def accepted(text, cues):
    """No complaint, and every caption at its time with its words."""
    found = told(text)
    assert found["errors"] == []
    assert len(found["cues"]) == len(cues) > 0
    for got, want in zip(found["cues"], cues, strict=True):
        assert abs(got["start"] - want.start_s) <= MILLISECOND
        assert abs(got["end"] - want.end_s) <= MILLISECOND
        words = got["text"].replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
        assert words.split() == want.text.split()
    assert MODEL_LINE in text and not any(MODEL_LINE in cue["text"] for cue in found["cues"])


def test_the_parser_takes_a_file_known_to_be_good():
    assert told(GOOD)["errors"] == []


@pytest.mark.parametrize("fault", BROKEN)
def test_the_parser_refuses_what_is_broken(fault):
    assert BROKEN[fault] != GOOD
    assert told(BROKEN[fault])["errors"] != []


def test_signs_that_must_be_escaped_and_long_times():
    cues = [
        Cue(0.0, 1.5, "angle < 40° & elbow > wrist"),
        Cue(1.5, 61.0625, "a --> b"),
        Cue(3661.9996, 36000.0, "10 hours on"),
    ]
    accepted(webvtt(cues), cues)


def test_captions_of_a_teaching_clip(tmp_path):
    reel = write_reel(tmp_path / "clip.mp4", teaching_parts(pair(9.8)), **TINY)
    accepted((tmp_path / "clip.vtt").read_text("utf-8"), reel.captions)


@pytest.mark.parametrize("name", ["open_water", "dropped_elbow", "wide_pull"])
def test_captions_of_a_review(tmp_path, name):
    reel = write_reel(tmp_path / "review.mp4", review_parts(played(name)), **TINY)
    accepted((tmp_path / "review.vtt").read_text("utf-8"), reel.captions)
