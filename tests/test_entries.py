"""INVARIANT: `list` shows every word of a file, its safety and the caution line; HAND-COUNTED: the lists."""

import pytest

import swimsim
from swimsim.cli import show
from swimsim.cli.main import run_program
from swimsim.faults.catalogue import aliases, faults
from swimsim.ground.conventions import CAUTION_LINE
from swimsim.ground.words import drill_words, fault_words, safety, words_of
from swimsim.stroke.drill import drill_names

KNOWN = [*faults(), *aliases()]
IN_PICTURES = {"number", "target", "key", "key_words", "why", "strip", "breathing"}


def printed(capsys, *words):
    assert run_program(["list", *words]) == 0
    return capsys.readouterr().out


def texts(record, without=()):
    """Every word of a record, one by one."""
    for key, value in vars(record).items():
        if key not in without and value:
            yield from value if isinstance(value, tuple) else [value]


@pytest.mark.parametrize("slug", KNOWN)
def test_a_fault_is_shown_whole_with_its_safety_and_the_caution_line(capsys, slug):
    text = printed(capsys, "faults", slug)
    for word in texts(fault_words(slug), IN_PICTURES):
        assert word in text, word
    for block in safety(fault=fault_words(slug).of or slug):
        assert f"{block.title}. {block.text}" in text
    for drill in fault_words(slug).drills:
        assert drill_words(drill).how in text
    assert text.rstrip().endswith(f"caution: {CAUTION_LINE}")
    assert "clean: " in text and "gross: " in text, "its numbers are there too"


@pytest.mark.parametrize("slug", words_of("drills"))
def test_a_drill_is_shown_whole_with_its_safety_and_the_caution_line(capsys, slug):
    text = printed(capsys, "drills", slug)
    for word in texts(drill_words(slug)):
        assert word in text, word
    for block in safety(drill=slug):
        assert block.text in text
    assert text.rstrip().endswith(f"caution: {CAUTION_LINE}")
    assert (f"swimsim clip --drill {slug}" in text) == (slug in drill_names())


@pytest.mark.parametrize("block", safety(), ids=lambda block: block.topic)
def test_a_block_of_safety_is_shown_whole(capsys, block):
    text = printed(capsys, "safety", block.topic)
    assert block.text in text and all(source in text for source in block.sources) and CAUTION_LINE in text


def test_the_list_of_drills_says_which_move():
    rows = {row["name"]: row for row in swimsim.listing("drills")}
    assert len(rows) == 24
    moving = {name for name, row in rows.items() if row["type"] == f"swimsim clip --drill {name}"}
    assert moving == set(drill_names()) and len(moving) == 13
    assert all(
        row["type"] == f"swimsim list drills {name}" for name, row in rows.items() if name not in moving
    )


def test_a_part_of_a_fault_is_known_but_not_listed(capsys):
    assert "late_breath" not in {row["name"] for row in swimsim.listing("faults")}
    assert "part of: head_lift" in printed(capsys, "faults", "late_breath")


def test_an_order_and_a_look_alike_are_said_in_words(capsys):
    text = printed(capsys, "faults", "dropped_elbow")
    assert "order: catch and pull, stage 5 of 8" in text
    assert "  straight_arm_press: A dropped elbow is bent and low;" in text
    assert "(elbow_at_30cm_depth, forearm_slope_at_45)" in text


def test_long_sentences_break_between_words_on_a_terminal(capsys, monkeypatch):
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    monkeypatch.setenv("COLUMNS", "50")
    monkeypatch.setenv("LINES", "40")
    show.details({"says": CAUTION_LINE, "sources": [CAUTION_LINE, "short"]})
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 50 and len(lines) > 6
    assert " ".join(" ".join(lines).split()) == f"says: {CAUTION_LINE} sources: {CAUTION_LINE} short"
