"""COMMON PRACTICE: what is said about faults and drills is whole, short, plain and kind."""

import re

import pytest

from swimsim.faults.catalogue import aliases, faults
from swimsim.ground.errors import InputError
from swimsim.ground.words import (
    FaultWords,
    drill_words,
    fault_words,
    order_of_correction,
    read_words,
    words_of,
)

FAULTS = words_of("faults")


def test_every_fault_of_the_catalogue_has_words():
    assert {*faults(), *aliases()} <= set(FAULTS)
    assert set(order_of_correction()) >= set(faults())


@pytest.mark.parametrize("slug", FAULTS)
def test_a_fault_has_a_cue_two_drills_and_why(slug):
    about = fault_words(slug)
    assert len(about.cue.split()) <= 10 and about.cue.endswith(".")
    assert len(about.drills) == 2 and set(about.drills) <= set(words_of("drills"))
    assert len(about.why) == 2 and about.care and about.pass_mark
    assert all(re.search(r"\[(read|practice|memory|derived)\]", source) for source in about.sources)
    said = " ".join([about.cue, *about.why, about.pass_mark, *(drill_words(d).how for d in about.drills)])
    assert not re.search(r"\b(always|causes?|perfect|ideal)\b", said, re.I)
    assert not re.search(r"\bnever\b", said, re.I), "never is for safety alone"


def test_no_drill_is_named_after_a_person():
    assert not any(re.search(r"'s\b", drill_words(slug).name) for slug in words_of("drills"))


def test_all_that_is_wrong_in_a_file_is_said_at_once(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text('terms = []\nsays = 3\nquue = "Reach."\n', encoding="utf-8")
    with pytest.raises(InputError, match=r"mine.toml: quue: no such key; did you mean 'cue'\?") as raised:
        read_words(path, FaultWords)
    text = str(raised.value)
    assert "mine.toml: terms: expected a list of one or more, got []" in text
    assert "mine.toml: says: expected words, got 3" in text
    assert "mine.toml: cue: expected words, got nothing" in text
