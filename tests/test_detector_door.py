"""HAND-COUNTED: a detector of one's own through the program: two clips, one edit, and what is said on the way."""

import json

import pytest

from swimsim.cli.main import run_program

DESIGN = """
swimmers = 1
seed = 31
faults = ["crossover"]
severities = [0.8]
plan = "full"
conditions = ["square"]
views = ["3d"]
"""
BROKEN = "def find(points):\n    print('looking')\n    return {}['depth']\n"
MENDED = "def find(points):\n    return [{'fault': 'crossover', 'present': True, 'score': 1.0}]\n"


@pytest.fixture
def validated(tmp_path, capfd):
    (tmp_path / "d.toml").write_text(DESIGN, encoding="utf-8")

    def run(detector):
        words = ["validate", str(tmp_path / "d.toml"), "--out", str(tmp_path / "out"), "--processes", "1"]
        code = run_program([*words, "--detector", detector])
        told = capfd.readouterr()
        return code, told.out, told.err

    return run


def test_a_detector_fails_is_mended_and_is_run_again(tmp_path, validated):
    mine = tmp_path / "mine.py"
    mine.write_text(BROKEN, encoding="utf-8")
    code, out, err = validated(f"{mine}:find")
    why = "KeyError: 'depth' (mine.py:3)"
    assert code == 1
    assert f"swimsim: your detector failed in the first clip: {why}; going on with the others" in err
    assert f"swimsim: your detector failed in 2 of 2 clips: {why}" in err
    assert err.count("your detector printed: looking") == 2 and "looking" not in out
    assert ": yours | swimsim" in out.splitlines()[0]
    assert "failed | " in out and "0.50" not in out.split("In ")[0]
    page = (tmp_path / "out" / "scorecard.html").read_text(encoding="utf-8")
    assert "Your detector failed in 2 of 2 clips" in page.split("<nav>")[0]

    mine.write_text(MENDED, encoding="utf-8")
    code, out, err = validated(f"{mine}:find")
    assert code == 0 and "failed" not in out + err
    assert "your detector has changed since the earlier run in" in err
    card = json.loads((tmp_path / "out" / "scorecard.json").read_text(encoding="utf-8"))
    assert card["answered"]["square"]["3d"] == {"clips": 2, "answered": 2, "failed": 0}
    assert card["faults"]["crossover"]["square"]["3d"]["false_alarms"] == 1
    assert card["built_in"]["faults"]["crossover"]["square"]["3d"]["false_alarms"] == 0

    code, again, err = validated(f"{mine}:find")
    assert code == 0 and "swimsim: 2 of 2 clips taken from the earlier run in" in err
    assert again == out


@pytest.mark.parametrize(
    ("detector", "why"),
    [
        ("nosuchcommand {in} {out}", "no such command 'nosuchcommand'"),
        ("sh -c 'nosuchcommand {in} {out}'", "exit code 127"),
        ("sh nosuch.sh {in} {out}", "no such file 'nosuch.sh'"),
        ("nosuch.py:find", "No such file: nosuch.py"),
    ],
)
def test_a_detector_that_is_not_there_stops_before_anything_is_swum(tmp_path, validated, detector, why):
    code, out, err = validated(detector)
    assert code == 2 and out == "" and "cannot be started" in err and why in err
    assert not (tmp_path / "out").exists()
