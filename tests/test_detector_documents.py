"""ROUND TRIP: what README says of a detector of one's own holds. SECOND METHOD: the example in awk against Python."""

import fnmatch
import re
from pathlib import Path

import pytest

import swimsim
from swimsim.cli.main import app
from swimsim.detectors import rules
from swimsim.ground.conventions import JOINTS
from swimsim.metrics import Reading
from swimsim.validation.answers import KEYS, findings_from
from swimsim.validation.design import read_design
from swimsim.validation.judges import ENTRY_POINTS, TIME_LIMIT_S, JudgeSpec, make_judge
from swimsim.view.conditions import condition_named

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
SECTION = README.split("**Your detector**")[1].split("**Your camera**")[0]
EXAMPLES = (f"{ROOT}/gallery/my_detector.py:find", f"sh '{ROOT}/gallery/my_detector.sh' {{in}} {{out}}")
READING = Reading((), (), {}, {}, "by hand")


@pytest.fixture(scope="module")
def played():
    return swimsim.play(swimsim.read_scenario("crossover"))


@pytest.mark.parametrize("name", EXAMPLES)
def test_both_examples_find_the_fault_on_its_side_and_leave_the_clean_swimmer_alone(played, name):
    judge = make_judge(JudgeSpec(name, 60.0))
    try:
        faulty, clean = (judge(swum.trace, READING) for swum in (played.fault, played.correct))
        assert judge.failure is None and judge.notes == ()
    finally:
        judge.close()
    set_on = {setting.side for setting in played.fault.faults}
    sides = {"left", "right"} if set_on == {"both"} else set_on
    assert {f.side for f in faulty if f.present} == sides
    assert {f.fault for f in faulty} == {"crossover"} and not any(f.present for f in clean)


def test_the_examples_agree_within_the_scatter_of_the_strokes(played):
    """Median against mean of seven entries, by hand 15 mm apart: the last dry frame comes at another instant."""
    scores = []
    for name in EXAMPLES:
        judge = make_judge(JudgeSpec(name, 60.0))
        scores.append({f.side: f.score for f in judge(played.fault.trace, READING)})
        judge.close()
    for side in ("left", "right"):
        assert scores[0][side] == pytest.approx(scores[1][side], abs=0.005)


def test_the_commands_of_the_section_name_files_and_designs_that_are_there():
    for script in re.findall(r"gallery/my_detector\.\w+", SECTION):
        assert (ROOT / script).is_file()
    small = read_design("small")
    assert small.faults == ("crossover", "early_exit") and small.views == ("3d",)
    for text in (SECTION, help_text()):
        assert all(fault in text for fault in small.faults)


def help_text():
    (command,) = [c for c in app.registered_commands if c.name == "validate"]
    return command.help


def test_readme_and_help_name_every_key_and_the_numbers_that_hold():
    for text in (SECTION, help_text()):
        assert all(f'"{key}"' in text for key in KEYS if "_" not in key)
        assert ENTRY_POINTS in text
    assert f"{len(JOINTS)} joints" in SECTION and TIME_LIMIT_S == 10 and "Ten seconds" in SECTION
    assert condition_named("square").rate_hz == 60 and condition_named("pool deck").rate_hz == 30
    assert condition_named("square").lost_share == 0 and condition_named(
        "pool deck"
    ).lost_share == pytest.approx(0.1)


def test_the_finding_that_is_shown_is_taken_without_a_remark():
    for text in (SECTION, help_text()):
        shown = re.search(r'{"fault".*?}', text).group(0).replace("true", "True")
        notes = []
        (found,) = findings_from([eval(shown, {})], notes=notes)
        assert notes == [] and found.fault in rules() and (found.severity, found.score) == (0.6, 0.61)


def test_what_the_shown_commands_leave_is_not_put_under_version_control():
    ignored = [line.strip("/") for line in (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()]
    helps = " ".join(c.epilog or "" for c in app.registered_commands)
    left = {word.strip("`") for word in re.findall(r"--out ([\w.`-]+)", README + helps)} - {"FILE", "leaves"}
    assert len(left) >= 10
    for name in left:
        assert any(fnmatch.fnmatch(name, pattern) for pattern in ignored), name
