"""COMMON PRACTICE: words are whole, short, plain, kind and sourced; PUBLISHED: reading grade (Kincaid et al. 1975).

HAND-COUNTED: one passage counted by hand, order and look-alikes as coaches have them; ROUND TRIP: edited files.
"""

import dataclasses
import re
import shutil

import pytest
import textstat
from tolerances import printed

from swimsim.faults.catalogue import aliases, faults
from swimsim.ground import tables, words
from swimsim.ground.conventions import CAUTION_LINE, EVENTS
from swimsim.ground.errors import InputError
from swimsim.ground.tables import read_toml
from swimsim.ground.words import (
    causes_and_echoes,
    caution_of_safety,
    drill_words,
    evidence_grades,
    fault_words,
    look_alikes,
    order_of_correction,
    safety,
    stages_of_correction,
    strip_words,
    words_of,
)
from swimsim.view.captions import shortened

PARTS = ("knee_kick", "late_breath")
WHOLE = [
    "dropped_elbow",
    "straight_arm_press",
    "wide_entry",
    "crossover",
    "wide_pull",
    "early_exit",
    "palm_in_finish",
    "flat_hips",
    "shoulder_driven",
    "double_bump",
    "over_rotation",
    "head_lift",
    "long_glide",
    "thumb_first",
    "sinking_legs",
    "scissor_kick",
    "asymmetry",
    "low_elbow_recovery",
]
FAULTS = [*WHOLE, *PARTS]
DRILLS = words_of("drills")
GRADE = 8.0  # school year: about 13 years old
#: What a body has; a cue may name it beside the water, but not as the thing to move (external focus, common practice).
BODY = (
    "hand|hands|elbow|elbows|arm|arms|forearm|forearms|wrist|wrists|shoulder|shoulders|hip|hips|knee|knees|leg|legs|foot|feet|"
    "ankle|ankles|toe|toes|head|chin|neck|chest|back|trunk|body|thumb|thumbs|finger|fingers|fingertip|fingertips|palm|palms"
)
MOVED = re.compile(
    rf"^\w+ (?:(?:your|the|each|both|a|one|every|big|left|right|whole) )*(?:{BODY})\b(?! pocket)", re.I
)
FLAG = re.compile(r"\[(read|practice|memory|derived|read, \w+( \w+)?)\]$")
IN_PICTURES = {"number", "target", "key_words", "strip", "breathing"}
NO_PROSE = {
    "terms",
    "sources",
    "of",
    "order",
    "look_alikes",
    "drills",
    "for_faults",
    "evidence",
    "flag",
    "name",
} | IN_PICTURES


def passages(record):
    """Every passage of a record that is meant to be read, ending in a stop."""
    for key, value in vars(record).items():
        if key not in NO_PROSE:
            for text in value if isinstance(value, tuple) else [value]:
                yield text if text[-1] in ".?!" else f"{text}."


def all_records():
    yield from ((slug, fault_words(slug)) for slug in FAULTS)
    yield from ((slug, drill_words(slug)) for slug in DRILLS)


# ---- All that there must be


def test_there_are_eighteen_faults_two_parts_and_twenty_four_drills():
    assert len(WHOLE) == 18 and set(words_of("faults")) == set(FAULTS)
    assert len(DRILLS) == 24
    assert set(faults()) <= set(WHOLE) and set(aliases()) == {
        s for s in PARTS if fault_words(s).of in faults()
    }
    assert set(read_toml("drills")["drill"]) <= set(DRILLS), "a drill that moves has words"


@pytest.mark.parametrize("slug", FAULTS)
def test_a_fault_has_all_its_words(slug):
    about = fault_words(slug)
    assert len(about.terms) >= 2 and all(term == term.strip() and term for term in about.terms)
    for text in (about.says, about.seen_as, about.look_for, about.likely_cause, about.leads_to, about.care):
        assert text.endswith(".") and text[0].isupper() and len(text.split()) >= 3
    assert re.search(r"Good: .+Fault: ", about.look_for), "the still to freeze, right and wrong"
    assert len(about.drills) == 2 and set(about.drills) <= set(DRILLS)
    assert len(about.why) == 2 and about.key.endswith("?")
    assert about.evidence in evidence_grades() and about.order and about.look_alikes
    assert about.target.startswith("target: ")
    assert set(about.strip) & {"key"} and {s for s in about.strip if isinstance(s, str)} <= {"key", *EVENTS}


@pytest.mark.parametrize("slug", DRILLS)
def test_a_drill_has_all_its_words(slug):
    drill = drill_words(slug)
    assert drill.flag in ("read", "practice", "memory") and drill.equipment and drill.care.endswith(".")
    for caption in (drill.how, f"Watch: {drill.watch_for}"):
        assert shortened(caption) == caption, "a caption of two lines holds it"
    assert set(drill.for_faults) <= set(WHOLE) and drill.for_faults
    assert not re.search(r"'s\b|[A-Z]", drill.name), "no drill is named after a person"


def test_a_moving_drill_has_the_name_and_the_equipment_of_its_words():
    drawn = {"pull_buoy": "pull buoy", "short_stick": "short stick", "fists": "none"}
    for slug, row in read_toml("drills")["drill"].items():
        assert row["title"] == drill_words(slug).name
        for thing in row.get("equipment", []):
            assert drill_words(slug).equipment == drawn[thing], slug


def test_every_drill_is_prescribed_and_serves_the_fault_that_prescribes_it():
    prescribed = {(drill, slug) for slug in WHOLE for drill in fault_words(slug).drills}
    assert {drill for drill, _ in prescribed} == set(DRILLS)
    for drill, slug in prescribed:
        assert slug in drill_words(drill).for_faults, f"{slug}: {drill}"


@pytest.mark.parametrize(
    ("slug", "record"), list(all_records()), ids=lambda v: v if isinstance(v, str) else ""
)
def test_every_statement_names_its_source_and_its_flag(slug, record):
    assert record.sources and all(FLAG.search(source) for source in record.sources), slug
    if isinstance(record, words.FaultWords) and record.evidence in ("measured", "argued", "disputed"):
        assert any("[read" in source for source in record.sources), "a grade above practice needs a study"
        assert any(re.search(r"\b(19|20)\d\d\b", source) for source in record.sources)


# ---- Wording


@pytest.mark.parametrize("slug", FAULTS)
def test_a_cue_is_short_outward_and_starts_with_a_verb(slug):
    about = fault_words(slug)
    for cue in (about.cue, *about.also):
        assert len(cue.split()) <= 10 and cue.endswith(".") and cue[0].isupper()
        assert not MOVED.match(cue), f"{slug}: '{cue}' moves a part of the body"
        assert not re.match(r"(Your|The|A|Do not|Don't|Try)\b", cue)


@pytest.mark.parametrize(
    "inward", ["Pull your hands back.", "Lift the elbow.", "Turn your hips.", "Bend both knees."]
)
def test_a_cue_about_the_body_would_be_found(inward):
    assert MOVED.match(inward)


@pytest.mark.parametrize(
    ("slug", "record"), list(all_records()), ids=lambda v: v if isinstance(v, str) else ""
)
def test_wording_is_careful_and_plain(slug, record):
    said = " ".join(passages(record))
    assert not re.search(r"\b(always|causes?d?|perfect|ideal|bad|wrong arm|lazy|sloppy)\b", said, re.I), slug
    technique = " ".join(text for text in passages(record) if text != record.care)
    assert not re.search(r"\bnever\b", technique, re.I), "never is for safety alone"
    assert not re.search(
        r"freestyle|hypoxic|hydroplan|efficien|propuls|biomech|anterior|rotat", said, re.I
    ), slug


def test_an_unsourced_consequence_is_worded_with_care():
    for slug in FAULTS:
        about = fault_words(slug)
        if about.evidence == "practice":
            assert re.search(r"\b([Mm]ay|[Tt]ends?|[Pp]robably|come late)\b", about.leads_to), slug


def test_three_pieces_of_lore_are_not_taught_as_fact():
    """Hips as far as the shoulders; a straight arm is weak; a fault is why a shoulder hurts: all three are open."""
    flat = fault_words("flat_hips").leads_to
    assert "half as far" in flat and "sprint" in flat and fault_words("flat_hips").evidence == "disputed"
    press = fault_words("straight_arm_press").leads_to
    assert "pushed harder" in press and "where the push points" in press
    said = " ".join(fault_words(slug).leads_to for slug in FAULTS)
    for sentence in re.split(r"(?<=[.:;]) ", said):
        if re.search(r"\b(pain|tendon|crowded|crowding)\b", sentence):
            assert re.search(
                r"argue|suggest|linked|agree|saw no|proves little|so had most|did not|only with pain",
                sentence,
            ), sentence


# ---- Reading grade


def test_the_reading_grade_of_a_passage_counted_by_hand():
    """Nine words, two sentences, ten syllables: 0.39 * 9/2 + 11.8 * 10/9 - 15.59 (Kincaid et al. 1975)."""
    passage = "The cat sat on the mat. It was happy."
    by_hand = 0.39 * 9 / 2 + 11.8 * 10 / 9 - 15.59
    assert by_hand == pytest.approx(-0.72, abs=printed("-0.72"))
    assert textstat.flesch_kincaid_grade(passage) == pytest.approx(by_hand, abs=printed("0.01"))


@pytest.mark.parametrize(
    ("slug", "record"), list(all_records()), ids=lambda v: v if isinstance(v, str) else ""
)
def test_the_reading_grade_is_eight_at_most(slug, record):
    assert textstat.flesch_kincaid_grade(" ".join(passages(record))) <= GRADE
    for text in passages(record):
        if len(text.split()) >= 12:
            assert textstat.flesch_kincaid_grade(text) <= GRADE + 2, f"{slug}: {text}"


def test_safety_and_look_alikes_are_easy_to_read_too():
    texts = [f"{block.title}. {block.text}" for block in safety()] + [pair.tell for pair in look_alikes()]
    for text in [*texts, caution_of_safety(), *(stage.says for stage in stages_of_correction())]:
        assert textstat.flesch_kincaid_grade(text) <= GRADE, text


# ---- Order of correction, look-alikes


def test_the_order_goes_from_the_body_line_to_the_sides():
    """Common practice: body line, roll, entry, catch and pull, finish, timing, symmetry."""
    order = order_of_correction()
    assert set(order) == set(WHOLE) and len(order) == 18
    coached = [
        "head_lift",
        "flat_hips",
        "wide_entry",
        "dropped_elbow",
        "early_exit",
        "long_glide",
        "asymmetry",
    ]
    assert [order.index(slug) for slug in coached] == sorted(order.index(slug) for slug in coached)
    assert stages_of_correction()[0].name == "safety and pain" and not stages_of_correction()[0].faults


def test_a_cause_comes_before_its_echo():
    order = order_of_correction()
    pairs = {(pair.cause, pair.echo) for pair in causes_and_echoes()}
    for cause, echo in pairs:
        assert order.index(cause) < order.index(echo)
    assert {
        ("crossover", "scissor_kick"),
        ("head_lift", "sinking_legs"),
        ("low_elbow_recovery", "thumb_first"),
    } <= pairs


def test_every_look_alike_names_measures_that_there_are():
    known = read_toml("definitions")["measure"]
    for pair in look_alikes():
        assert pair.fault in WHOLE and pair.tell.endswith(".")
        assert set(pair.measures) <= set(known)
        if pair.other in WHOLE:
            assert pair.other in fault_words(pair.fault).look_alikes
            assert pair.fault in fault_words(pair.other).look_alikes


# ---- Safety


def test_the_caution_line_is_the_one_that_pictures_show():
    assert caution_of_safety() == CAUTION_LINE and len(CAUTION_LINE.split()) <= 30


def test_every_block_of_safety_is_placed_sourced_and_names_what_there_is():
    places = {"sheet", "drills", "intake", "shot list", "manual", "front page"}
    topics = [block.topic for block in safety()]
    assert len(set(topics)) == len(topics)
    for block in safety():
        assert set(block.where) <= places and (block.where or block.faults or block.drills)
        assert set(block.faults) <= set(WHOLE) and set(block.drills) <= set(DRILLS)
        assert block.flag in ("read", "practice") and all(FLAG.search(source) for source in block.sources)
    assert {"rule", "shoulder", "load", "neck", "breath", "consent", "refusal", "misuse"} <= set(topics)


def test_no_share_of_swimmers_with_pain_is_quoted_alone():
    shares = re.findall(r"\d+ %", next(block.text for block in safety() if block.topic == "shoulder"))
    assert len(shares) >= 3


def test_safety_is_found_by_place_by_fault_and_by_drill():
    assert {"neck", "breath"} == {block.topic for block in safety(fault="head_lift")}
    for fault in ("early_exit", "asymmetry"):  # either may be a sign of pain, so pain is asked for first
        assert "rule" in {block.topic for block in safety(fault=fault)}
    kicks = {
        "side_kick",
        "six_kicks_one_stroke",
        "body_roll_kick",
        "vertical_kick",
        "streamline_kick_on_back",
    }
    for drill in kicks:
        assert "breath" in {block.topic for block in safety(drill=drill)}, (
            "every kick drill warns of held breath"
        )
    assert not {"breath", "neck"} & {block.topic for block in safety(drill="zipper")}
    for drill in DRILLS:
        assert {"rule", "drills"} <= {block.topic for block in safety(drill=drill)}
    assert {block.topic for block in safety(where="shot list")} == {"set_up", "not_filmed", "pool"}


# ---- Files that a coach has edited


@pytest.fixture
def edited(tmp_path, monkeypatch):
    """A copy of the folder `shared` to edit; the reader forgets what it has read before and after."""
    shutil.copytree(tables.data_folder("shared") / "words", tmp_path / "words")
    monkeypatch.setattr(words, "data_folder", lambda name: tmp_path)
    caches = [words.fault_words, words.drill_words, words.evidence_grades, words.strip_words, words._table]
    for cache in caches:
        cache.cache_clear()
    yield tmp_path / "words"
    for cache in caches:
        cache.cache_clear()


def change(path, old, new):
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_an_edited_cue_is_read(edited):
    change(edited / "faults" / "crossover.toml", "Enter at eleven and one o'clock.", "Swim on two rails.")
    assert fault_words("crossover").cue == "Swim on two rails."


def test_a_part_of_a_fault_has_the_words_of_the_whole_except_its_own(edited):
    part, whole = fault_words("knee_kick"), fault_words("sinking_legs")
    own = {"of", "terms", "says", "seen_as", "look_for", "likely_cause", "leads_to", "pass_mark", "evidence", "sources",
           "number", "target", "key", "why"}  # fmt: skip
    for field in dataclasses.fields(part):
        assert (getattr(part, field.name) == getattr(whole, field.name)) == (field.name not in own), (
            field.name
        )


@pytest.mark.parametrize(
    ("file", "old", "new", "match"),
    [
        ("faults/crossover", "cue = ", "quue = ", r"crossover.toml: quue: no such key; did you mean 'cue'\?"),
        ("faults/crossover", "cue = ", "quue = ", r"crossover.toml: cue: expected words, got nothing"),
        ("faults/crossover", 'evidence = "argued"', "evidence = 3", r"crossover.toml: evidence: expected words, got 3"),
        ("faults/crossover", '"argued"', '" "', r"crossover.toml: evidence: expected words, got ' '"),
        ("faults/crossover", '"side_kick"', "7", r"crossover.toml: drills: expected words, got 7"),
        ("faults/crossover", 'cue = "', 'cue = ', r"crossover.toml: expected a text file in TOML, got: .*line \d+"),
        ("faults/wide_pull", "[breathing]", "[[breathing]]", r"wide_pull.toml: breathing: expected a table, got \["),
        ("faults/knee_kick", '"sinking_legs"', '"sinking_leg"', r"no such file; did you mean 'sinking_legs'"),
        (
            "faults/crossover", "Enter at eleven", "Let each hand of yours enter at eleven",
            r"crossover.toml: cue: expected 10 words at most, got 11: 'Let each hand",
        ),
        (
            "faults/crossover", "Keep the dark line", "Swim on and do keep that dark line",
            r"crossover.toml: also: expected 10 words at most, got 11: 'Swim on",
        ),
        ("faults/crossover", '"side_kick", ', "", r"crossover.toml: drills: expected 2, got 1"),
        ("faults/crossover", '"side_kick"', '"side_kik"', r"drills: .*got 'side_kik'; did you mean 'side_kick'"),
        ("faults/crossover", '"argued"', '"argud"', r"evidence: .*got 'argud'; did you mean 'argued'"),
        ("faults/crossover", "{midline}", "{midlin}", r"target: expected {midline} or {pace} in .*'{midlin}'"),
        ("faults/crossover", "{midline}", "{midline", r"target: expected braces in pairs, got"),
        ("faults/wide_pull", '"target: 5 cm or less"', '"{pac}"', r"wide_pull.toml: breathing.target: .*got '{pac}'"),
        ("faults/wide_pull", '"shoulder_plane"', '"shoulder_plan"', r"strip: .*'shoulder_plan'; .*'shoulder_plane'"),
        ("faults/wide_pull", "also = [", 'also = "Go."\nb = [', r"wide_pull.toml: also: expected a list, got 'Go.'"),
    ],
)  # fmt: skip
def test_an_error_in_a_file_is_said_with_file_and_key(edited, file, old, new, match):
    change(edited / f"{file}.toml", old, new)
    with pytest.raises(InputError, match=match):
        fault_words(file.split("/")[1])


def test_all_that_is_wrong_in_a_file_is_said_at_once(edited):
    path = edited / "drills" / "zipper.toml"
    path.write_text('name = ""\nhow = 3\nfor_faults = "wide_entry"\n', encoding="utf-8")
    with pytest.raises(InputError, match=r"zipper.toml: name: expected words, got ''") as raised:
        drill_words("zipper")
    missing = {"watch_for", "care", "equipment", "flag", "sources"}
    assert len(str(raised.value).split("\n")) == 3 + len(missing)
    assert all(f"{key}: expected words, got nothing" in str(raised.value) for key in missing)


@pytest.mark.parametrize(
    ("old", "new", "match"),
    [
        ('["long_glide", ', '["long_glid", ', r"stage.faults: expected a known name, got 'long_glid'; .*'long_glide'"),
        ('["long_glide", ', "[", r"stage.faults: expected 'long_glide' once, got it 0 times"),
        ('["long_glide", ', '["long_glide", "long_glide", ', r"expected 'long_glide' once, got it 2 times"),
        ('["long_glide", ', '["knee_kick", "long_glide", ', r"expected a known name, got 'knee_kick'"),
        ('cause = "head_lift"', 'cause = "head_lft"', r"before: expected a known name, got 'head_lft'; .*'head_lift'"),
        ('fault = "scissor_kick"', 'fault = "scissors"', r"look_alike.fault: .*got 'scissors'; .*'scissor_kick'"),
        ('["foot_gap"]', '["feet_gap"]', r"look_alike.measures: .*got 'feet_gap'; did you mean 'foot_gap'"),
    ],
)  # fmt: skip
def test_the_order_names_faults_and_measures_that_there_are(edited, old, new, match):
    change(edited / "order.toml", old, new)
    with pytest.raises(InputError, match=rf"order.toml: {match}" if match.startswith("stage") else match):
        order_of_correction()


@pytest.mark.parametrize(
    ("old", "new"),
    [('"head_lift", "over', '"head_lit", "over'), ('"bubble_roll_breathe", "side_kick"', '"side_kik"')],
)
def test_safety_names_faults_and_drills_that_there_are(edited, old, new):
    change(edited / "safety.toml", old, new)
    with pytest.raises(
        InputError, match=r"safety.toml: block '\w+': (faults|drills): expected a known name, got"
    ):
        safety()


def test_a_drill_names_faults_that_there_are(edited):
    change(edited / "drills" / "zipper.toml", '"wide_entry"', '"wide_enty"')
    with pytest.raises(
        InputError, match=r"zipper.toml: for_faults: .*got 'wide_enty'; did you mean 'wide_entry'"
    ):
        drill_words("zipper")


def test_an_error_in_the_order_names_the_table(edited):
    change(edited / "order.toml", 'name = "finish"', 'nam = "finish"')
    with pytest.raises(InputError, match=r"order.toml: stage: nam: no such key; did you mean 'name'\?"):
        order_of_correction()


def test_a_fault_or_drill_that_is_not_there_is_named_with_the_nearest():
    with pytest.raises(InputError, match=r"no such file; did you mean 'early_exit'\?"):
        fault_words("early_exitt")
    with pytest.raises(InputError, match=r"no such file; did you mean 'zipper'\?"):
        drill_words("ziper")


def test_words_of_instants_cover_the_events():
    assert set(strip_words()) == set(EVENTS)
