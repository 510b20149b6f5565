"""INVARIANT: a quiz tells nothing, its key everything. HAND-COUNTED: words of cards; files that are not ours stay."""

import dataclasses
import re

import numpy as np
import pytest
from test_captions import read

from swimsim.cli.main import run_program
from swimsim.ground.conventions import CAUTION_LINE, MODEL_LINE
from swimsim.ground.errors import InputError
from swimsim.scenario.play import play
from swimsim.scenario.read import read_scenario
from swimsim.scenario.wishes import drawn_as
from swimsim.teaching.marks import marks_of
from swimsim.teaching.quiz import answer, fault_place, key_of, quiz_panels
from swimsim.teaching.script import Wish, clip_parts
from swimsim.view.captions import Cue, write_captions
from swimsim.view.cards import Card
from swimsim.view.look import Look
from swimsim.view.parts import title_card
from swimsim.view.reel import Part, write_reel

OUTPUT = {"views": ["side_left"], "size": [320, 180], "fps": 25, "seconds": 0.5}
FAULTS = ("early_exit", "crossover", "dropped_elbow", "wide_entry", "flat_hips", "double_bump")
SEEDS = (3, 1)  # the fault is in panel A with the first of them, in B with the second
FOREIGN = "WEBVTT\n\n00:01.000 --> 00:02.000\nmy own words\n"


def swum(seed=1, fault="early_exit"):
    """A short run with one fault, or with none."""
    faults = [{"fault": fault, "severity": 0.9}] if fault else []
    return play(read_scenario({"seed": seed, "fault": faults, "output": OUTPUT}))


@pytest.fixture(scope="module")
def played():
    return swum()


# ---- which panel


def test_the_place_follows_from_the_seed_and_is_the_same_again(played):
    def place(seed):
        scenario = played.scenario.model_copy(update={"seed": seed})
        return fault_place(dataclasses.replace(played, scenario=scenario))

    places = [place(seed) for seed in range(200)]
    assert places == [place(seed) for seed in range(200)]
    assert set(places) == {0, 1}
    assert 70 <= sum(places) <= 130  # 100 +- 30 is more than four standard deviations (7.1) of fair coins


def test_scenarios_of_one_seed_do_not_all_have_it_in_one_panel():
    assert {fault_place(swum(fault=fault)) for fault in FAULTS} == {0, 1}


@pytest.mark.parametrize("seed", SEEDS)
def test_panels_are_a_and_b_and_one_of_them_is_the_swimmer_with_the_fault(played, seed):
    scenario = played.scenario.model_copy(update={"seed": seed})
    own = dataclasses.replace(played, scenario=scenario)
    panels = quiz_panels(own)
    assert fault_place(own) == SEEDS.index(seed)
    assert [marks.word for _, marks in panels] == ["A", "B"]
    assert [trace is played.fault.trace for trace, _ in panels].index(True) == fault_place(own)
    assert {trace is played.correct.trace for trace, _ in panels} == {True, False}
    for _, marks in panels:
        assert (marks.title, marks.value, marks.limb, marks.ticks, marks.drawn) == ("", "", (), (), ())
        assert marks.style == "solid"


def test_every_stretch_of_a_quiz_has_the_same_order_and_no_caption(played):
    full = played.scenario.model_copy(
        update={"output": played.scenario.output.model_copy(update={"speeds": [1.0, 0.5, 0.25, 1.0]})}
    )
    parts = clip_parts(dataclasses.replace(played, scenario=full), Wish(quiz=True))
    swimming = [part for part in parts if part.panels]
    assert len(swimming) == 4
    first = [trace for trace, _ in swimming[0].panels]
    for part in swimming:
        assert all(a is b for a, (b, _) in zip(first, part.panels, strict=True))
        assert [marks.word for _, marks in part.panels] == ["A", "B"]
    assert not any(part.caption for part in parts)


def test_letters_are_seen_in_the_picture(played):
    """Dark letters at the left of the two header strips, on the page; the same place is empty without them."""
    from swimsim.view.clip import ClipOptions, picture

    look = ClipOptions(look=Look(size=(640, 360)))
    for letters in (True, False):
        panels = quiz_panels(played)
        if not letters:
            panels = [(trace, dataclasses.replace(marks, word="")) for trace, marks in panels]
        shown = picture(panels, at_s=1.0, options=look)
        dark = [(shown[4:30, x : x + 30].max(axis=-1) < 90).sum() for x in (6, 326)]
        assert all(count > 20 for count in dark) == letters


# ---- the key


@pytest.mark.parametrize("seed", SEEDS)
def test_the_key_names_panel_fault_and_both_numbers(played, seed):
    own = dataclasses.replace(played, scenario=played.scenario.model_copy(update={"seed": seed}))
    text, letter = answer(own, "a.mp4"), "AB"[fault_place(own)]
    fault, correct = marks_of(own)
    assert "Answer to the quiz in a.mp4" in text
    assert f"in panel {letter}: {fault.title}." in text
    assert f"Panel {letter}: {fault.value}\n" in text
    assert f"Panel {'BA'['AB'.index(letter)]}: {correct.value}\n" in text
    assert MODEL_LINE in text
    assert CAUTION_LINE in text


def test_the_key_of_a_trick_question_and_of_one_swimmer(played):
    assert "No fault is set: A and B are the same." in answer(swum(fault=None), "a.mp4")
    alone = answer(played, "a.mp4", alone=True)
    assert "The fault is: early exit." in alone
    assert "panel" not in alone.lower()


def clip(folder, *options, name="a.mp4"):
    source = folder / "own.toml"
    source.write_text(
        'seed = 3\n[[fault]]\nfault = "early_exit"\nseverity = 0.9\n[output]\nviews = ["side_left"]\n'
        "size = [320, 180]\nfps = 25\nseconds = 0.5\n"
    )
    return run_program(["clip", str(source), "--out", str(folder / name), *options])


@pytest.mark.parametrize("name", ["a.mp4", "a.gif"])
def test_a_quiz_leaves_clip_and_key_and_nothing_in_the_clip_tells(tmp_path, capsys, name):
    assert clip(tmp_path, "--quiz", name=name) == 0
    assert {p.name for p in tmp_path.iterdir()} == {name, "a_answer.txt", "own.toml"}
    said = capsys.readouterr().out
    assert "a_answer.txt" in said
    assert "panel" not in said
    inside = (tmp_path / name).read_bytes().lower()
    for word in (b"fault", b"correct", b"answer", b"early", b"exit"):
        assert word not in inside
    assert re.search("The fault is in panel [AB]: early exit", (tmp_path / "a_answer.txt").read_text())


def test_a_key_is_renewed_and_a_file_of_another_is_left(tmp_path, capsys):
    assert clip(tmp_path, "--quiz") == 0
    assert clip(tmp_path, "--quiz") == 0
    key = key_of(tmp_path / "a.mp4")
    before = (tmp_path / "a.mp4").read_bytes()
    key.write_text("my own notes")
    assert clip(tmp_path, "--quiz", "--speed", "0.5") == 2
    assert "a_answer.txt: output: expected no file of that name or one left by" in capsys.readouterr().err
    assert key.read_text() == "my own notes"
    assert (tmp_path / "a.mp4").read_bytes() == before


def test_a_clip_that_is_no_quiz_has_no_key(tmp_path):
    assert clip(tmp_path) == 0
    assert not key_of(tmp_path / "a.mp4").exists()


# ---- captions of another


def test_captions_that_are_not_ours_are_refused_and_left(tmp_path, capsys):
    (tmp_path / "a.vtt").write_text(FOREIGN)
    assert clip(tmp_path) == 2
    assert re.search(
        r"a\.vtt: output: expected no file of that name .* got another one", capsys.readouterr().err
    )
    assert (tmp_path / "a.vtt").read_text() == FOREIGN
    assert not (tmp_path / "a.mp4").exists()


def test_our_own_captions_are_renewed(tmp_path):
    assert clip(tmp_path) == 0
    before = read((tmp_path / "a.vtt").read_text())
    assert clip(tmp_path, "--speed", "0.5") == 0
    assert read((tmp_path / "a.vtt").read_text()) != before


def test_a_reel_without_captions_leaves_any_captions_alone(tmp_path):
    (tmp_path / "a.vtt").write_text(FOREIGN)
    write_reel(tmp_path / "a.mp4", [Part(card=Card("words"), card_s=0.2)], look=Look(size=(320, 180)), fps=10)
    assert (tmp_path / "a.vtt").read_text() == FOREIGN


def test_captions_written_by_hand_are_refused_by_a_reel_too(tmp_path):
    (tmp_path / "a.vtt").write_text(FOREIGN)
    with pytest.raises(InputError, match=r"a\.vtt: output: expected no file of that name"):
        write_reel(
            tmp_path / "a.mp4", [Part(card=Card("words"), card_s=0.2, caption="Words.")],
            look=Look(size=(320, 180)), fps=10,
        )  # fmt: skip
    assert not (tmp_path / "a.mp4").exists()
    write_captions(tmp_path / "b.vtt", [Cue(0.0, 1.0, "Words.")])
    write_reel(
        tmp_path / "b.mp4", [Part(card=Card("words"), card_s=0.2, caption="Words.")],
        look=Look(size=(320, 180)), fps=10,
    )  # fmt: skip


# ---- the title card


@pytest.mark.parametrize(
    ("layout", "size", "words"),
    [
        ("side_by_side", "320x180", "FAULT beside CORRECT"),
        ("side_by_side", "320x480", "FAULT above CORRECT"),
        ("stacked", "320x180", "FAULT above CORRECT"),
        ("ghost", "320x180", "FAULT, with CORRECT pale behind"),
        ("single", "320x180", "FAULT, then CORRECT"),
    ],
)
def test_the_title_card_says_how_the_two_stand(played, layout, size, words):
    scenario = drawn_as(played.scenario, layout=layout, size=size)
    output = scenario.output.model_copy(update={"speeds": [1.0, 0.5]})
    own = dataclasses.replace(played, scenario=scenario.model_copy(update={"output": output}))
    assert clip_parts(own)[0].card.lines == (words,)


def test_one_panel_has_one_word(played):
    marks = marks_of(played)[0]
    assert title_card([(None, marks)], layout="ghost").lines == ("FAULT",)
    assert np.size(marks.phase) > 1
