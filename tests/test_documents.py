"""ROUND TRIP: what the documents show works as it stands: commands, Python, pictures, tables of names."""

import importlib
import json
import os
import re
import runpy
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from test_layers import MAY_IMPORT

from swimsim.scenario import schema

ROOT = Path(__file__).resolve().parents[1]
DOCUMENTS = {name: (ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md")}
GALLERY = (ROOT / "gallery" / "README.md").read_text(encoding="utf-8")
CATALOGUE = (ROOT / "gallery" / "catalogue.md").read_text(encoding="utf-8")
MEBIBYTE = 1024 * 1024
#: Where each script of the gallery writes its pictures; the others print only.
DRAWS = (
    "sheets.py", "one_fault.py", "teaching.py", "hand_path.py", "roll_shapes.py", "water.py", "seeing.py",
    "scorecard.py",
)  # fmt: skip
PAGES = (
    "catalogue.py",
    "cross_talk.py",
    "clean_swimmers.py",
    "full_scorecard.py",
)  # write a page of their own
#: Smaller pictures and fewer readings than the shown command, for time alone.
FASTER = {
    "sheets.py": ["--width", "800"], "one_fault.py": ["--width", "360"], "teaching.py": ["--width", "360"],
    "recovery.py": ["--seeds", "1", "--rates", "60", "--all"], "clean_swimmers.py": ["--count", "1"],
    "scorecard.py": ["--design", "small", "--plan", "small"], "water.py": ["--draws", "2", "--width", "480"],
    "full_scorecard.py": ["--design", "small"],
}  # fmt: skip


def blocks(text: str, language: str) -> list[str]:
    """Code blocks of one language, in order."""
    fenced = re.findall(r"^```(\w*)\n(.*?)^```$", text, flags=re.M | re.S)
    return [body for kind, body in fenced if kind == language]


def shell(command: str, folder: Path) -> subprocess.CompletedProcess:
    """Run one shown command with this interpreter in another folder."""
    words = re.sub(r"^swimsim\b", f"{sys.executable} -m swimsim", command)
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.run(words, shell=True, cwd=folder, env=env, capture_output=True, text=True, check=False)


def works(command: str, folder: Path) -> str:
    """Run one shown command and give what it printed; it must end with 0."""
    ran = shell(command, folder)
    assert ran.returncode == 0, f"{command}\n{ran.stderr}"
    return ran.stdout


def gallery_commands() -> list[list[str]]:
    """The words after `python gallery/` of every command on the gallery page."""
    lines = [line for block in blocks(GALLERY, "sh") for line in block.strip().split("\n")]
    assert all(line.startswith("python gallery/") for line in lines)
    return [line.removeprefix("python gallery/").split() for line in lines]


def run_script(words: list[str], folder: Path) -> list[str]:
    """Run a gallery script in this process with its pictures in `folder`; names of what it drew."""
    script, *arguments = words
    out = ["--out", str(folder)] if script in DRAWS else []
    out = ["--page", str(folder.parent / "page.md")] if script in PAGES else out
    runpy.run_path(str(ROOT / "gallery" / script))["main"]([*arguments, *FASTER.get(script, []), *out])
    return sorted(p.name for p in folder.iterdir())


def foreign_files(folder: Path) -> None:
    """`theirs.csv` and `names.toml` as the README describes them: mm, 50 Hz, no times, -y forward, x left."""
    import swimsim

    trace = swimsim.play(swimsim.read_scenario("early_exit")).fault.motion.trace(50, 9)
    (folder / "names.toml").write_text(blocks(DOCUMENTS["README.md"], "toml")[1], encoding="utf-8")
    theirs = {"left_shoulder": "shoulder_l"}
    forward, left, up = (1000 * trace.joints_m[..., i] for i in range(3))
    axes = {"x": left, "y": -forward, "z": up}
    heads = [f"{theirs.get(name, name)}_{axis}" for name in trace.joint_names for axis in axes]
    rows = np.stack(list(axes.values()), axis=-1).reshape(len(trace.time_s), -1)
    np.savetxt(folder / "theirs.csv", rows, fmt="%.3f", delimiter=",", header=",".join(heads), comments="")


def test_the_first_two_blocks_run_and_test_with_their_own_set_up():
    first, second = blocks(DOCUMENTS["README.md"], "sh")[:2]
    assert first.startswith("python3 -m venv") and "swimsim run" in first
    assert second.startswith("python3 -m venv") and ".[test]" in second and "pytest" in second


def test_every_command_of_the_verbs_table_runs_in_its_order(tmp_path):
    section = DOCUMENTS["README.md"].split("## Verbs")[1].split("##")[0]
    commands = re.findall(r"\| `(swimsim [^`]+)` \|", section)
    verbs = re.findall(r"^\| `(\w+)` \|", section, flags=re.M)
    assert [command.split()[1] for command in commands] == verbs
    for command in commands:
        works(command, tmp_path)
    assert {"early", "crossover.gif", "flat"} <= {p.name for p in tmp_path.iterdir()}


def test_the_scenario_of_the_readme_runs(tmp_path):
    (tmp_path / "own.toml").write_text(blocks(DOCUMENTS["README.md"], "toml")[0], encoding="utf-8")
    works(blocks(DOCUMENTS["README.md"], "sh")[2].strip(), tmp_path)
    truth = json.loads((tmp_path / "own" / "truth.json").read_text(encoding="utf-8"))
    (fault,) = truth["swimmers"]["fault"]["faults"]
    # asked for -10 cm; the strokes of this swimmer vary, so their mean lies up to 2 cm beside it
    assert (fault["fault"], fault["side"]) == ("early_exit", "right")
    assert fault["value"] == pytest.approx(-0.10, abs=0.02)


def test_a_trace_of_other_conventions_is_read_as_the_readme_says(tmp_path):
    foreign_files(tmp_path)
    works(blocks(DOCUMENTS["README.md"], "sh")[3].strip(), tmp_path)
    read = (tmp_path / "measures.csv").read_text(encoding="utf-8")
    assert "exit_past_hip" in read
    assert len(blocks(DOCUMENTS["README.md"], "sh")) == 4


def test_the_python_of_the_readme_runs(tmp_path, capsys):
    script = tmp_path / "shown.py"
    (shown,) = blocks(DOCUMENTS["README.md"], "python")
    script.write_text(shown, encoding="utf-8")
    runpy.run_path(str(script))
    exact, index, recovered = (float(word) for word in capsys.readouterr().out.split())
    assert recovered == pytest.approx(exact, abs=0.5)  # the reader sees 60 frames a second; half a centimetre
    assert index < 0


def test_the_table_of_the_readme_is_what_a_run_prints(tmp_path):
    command = re.search(r"swimsim run[^\n]*", blocks(DOCUMENTS["README.md"], "sh")[0]).group(0)
    printed = works(command, tmp_path)
    shown = blocks(DOCUMENTS["README.md"], "")[0]
    rows = [line.split() for line in shown.strip().split("\n")]
    got = [line.split() for line in printed.split("\n")]
    assert len(rows) == 7
    for row in rows:
        assert row in got
    left = {p.name for p in (tmp_path / command.split()[-1]).iterdir()}
    table = DOCUMENTS["README.md"].split("## What a run leaves")[1].split("The table")[0]
    shown = set(re.findall(r"`(\w+\.\w+|\w+/)`", table))
    assert {name.strip("/") for name in shown} | {"fault.csv", "correct.csv"} == {
        name for name in left if not name.startswith("seen_")
    }


def test_the_faults_table_of_the_readme_holds_every_fault_with_its_true_numbers():
    import swimsim
    from swimsim.faults.catalogue import faults

    table = dict(re.findall(r"^\| `(\w+)` \|(.* \| \w+ \|)$", DOCUMENTS["README.md"], flags=re.M))
    assert set(faults()) <= set(table)
    for slug, fault in faults().items():
        *_, numbers, view, _ = table[slug].split("|")
        clean, gross = re.match(r" (-?\d+) to (-?\d+) (?:deg|cm|%)", numbers).groups()
        stroke = {"stroke": {"preset": "pace400_man"}, "swimmer": {"sex": "man", "stature_m": 1.80}}
        if fault.row.get("needs") == "breath":
            stroke["breathing"] = {"side": "left", "every": 2}
        played = swimsim.play(swimsim.read_scenario({**stroke, "fault": [{"fault": slug, "severity": 1.0}]}))
        side = None if fault.main_measure in ("hip_lag", "trunk_slope", "symmetry_index") else "left"
        for swum, shown in ((played.correct, clean), (played.fault, gross)):
            value = swum.truth.value(fault.main_measure, side)  # shown as whole numbers
            assert (abs(value) if fault.pairs else value) == pytest.approx(float(shown), abs=0.501)
        assert view.strip() == fault.best_view


@pytest.mark.parametrize("name", ["README.md", "gallery/README.md", "gallery/catalogue.md"])
def test_linked_pictures_and_pages_exist(name):
    text, folder = (ROOT / name).read_text(encoding="utf-8"), (ROOT / name).parent
    links = [link for link in re.findall(r"\]\(([^)#]+)\)", text) if "://" not in link]
    assert links
    for link in links:
        assert (folder / link).is_file(), link


@pytest.mark.parametrize("script", sorted({words[0] for words in gallery_commands()}))
def test_gallery_commands_run_print_their_number_and_draw_what_is_shown(script, tmp_path, capsys):
    drawn = set()
    for words in gallery_commands():
        if words[0] == script:
            drawn |= set(run_script(words, tmp_path))
            assert re.search(r"\d", capsys.readouterr().out), words
    assert drawn <= {link.split("/")[-1] for link in re.findall(r"\]\((pictures/[^)]+)\)", GALLERY)}
    assert bool(drawn) == (script in DRAWS)


def test_every_gallery_script_and_picture_is_on_the_gallery_page():
    assert {words[0] for words in gallery_commands()} == {p.name for p in (ROOT / "gallery").glob("*.py")}
    shown = set(re.findall(r"\]\(pictures/([^)]+)\)", GALLERY + CATALOGUE))
    assert shown == {p.name for p in (ROOT / "gallery" / "pictures").iterdir()}


def test_the_gallery_keeps_to_its_budget():
    sizes = [
        p.stat().st_size
        for p in (ROOT / "gallery").rglob("*")
        if p.is_file() and "__pycache__" not in p.parts
    ]
    assert max(sizes) < MEBIBYTE
    assert sum(sizes) < 12 * MEBIBYTE


@pytest.mark.parametrize("script", ["coordination.py", "recovery.py"])
def test_the_numbers_of_the_gallery_page_are_still_true(script, capsys):
    """Each shown number against a new run; the last digit may turn on another machine."""
    runpy.run_path(str(ROOT / "gallery" / script))["main"]([])
    new = capsys.readouterr().out.split()
    (shown,) = [b.split() for b in blocks(GALLERY, "") if b.split()[0] == new[0] and b.split()[1] == new[1]]
    assert len(shown) == len(new)
    for old, got in zip(shown, new, strict=True):
        if re.fullmatch(r"-?\d+\.\d+", old):
            assert float(got) == pytest.approx(float(old), abs=1.01 * 10.0 ** -len(old.split(".")[1]))
        else:
            assert got == old


@pytest.mark.parametrize("name", ["README.md", "gallery/README.md", "gallery/catalogue.md"])
def test_cautions_stand_where_corrections_do(name):
    from swimsim.ground.conventions import CAUTION_LINE, MODEL_LINE

    text = " ".join((ROOT / name).read_text(encoding="utf-8").split())
    assert CAUTION_LINE in text
    assert MODEL_LINE in text


def commands_of_the_developers_page() -> list[str]:
    """Every command in back quotes on the page."""
    starts = "swimsim run|pytest|python|bash|ruff|\\. \\.venv"
    return re.findall(rf"`((?:{starts})(?: [^`]+)?)`", DOCUMENTS["DEVELOPERS.md"])


def test_every_command_of_the_developers_page_is_one_that_some_test_runs():
    """Pytest itself, checks, benchmarks and the estimator are asked what they are; the others run elsewhere here."""
    other = {"swimsim run", ". .venv/bin/activate", "ruff check .", "ruff format --check ."}
    for command in commands_of_the_developers_page():
        words = command.split()
        if words[0] == "pytest":
            paths = [ROOT / word for word in words if word.startswith("tests/")]
            assert all(path.is_file() for path in paths), command
            assert {w for w in words if w.startswith("-")} <= {"-q", "-n", "-m", "-s"}
        elif words[1:2] and words[1].startswith("tests/"):
            assert "usage" in works(f"{sys.executable} {words[1]} --help", ROOT)
        elif words[0] == "bash":
            works(f"bash -n {words[1]}", ROOT)
        elif words[1:2] == ["-m"] and words[2] in (
            "swimsim.scenario.in_water",
            "swimsim.scenario.outside_checks",
        ):
            assert callable(importlib.import_module(words[2]).main)
        elif words[1:] == ["-m", "swimsim.scenario.schema"]:
            shown = json.loads((ROOT / "shared" / "scenario.schema.json").read_text(encoding="utf-8"))
            assert schema.scenario_schema() == shown
        elif words[1:2] and words[1].startswith("gallery/"):
            assert words[1].removeprefix("gallery/") in {known[0] for known in gallery_commands()}
        else:
            assert command in other, command


def test_the_layer_table_of_the_developers_page_is_the_one_that_is_held():
    rows = re.findall(r"^\| `(\w+)`(?:, `(\w+)`)? \| ([^|]+) \|", DOCUMENTS["DEVELOPERS.md"], flags=re.M)
    rooms = {p.name for p in (ROOT / "swimsim").iterdir() if (p / "__init__.py").is_file()}
    shown = {name: allowed for *names, allowed in rows for name in names if name}
    assert rooms <= set(shown)
    for room in rooms:
        allowed = shown[room].strip()
        if re.fullmatch(r"(\w+, )*\w+", allowed) and allowed != "nothing":
            assert set(allowed.split(", ")) == MAY_IMPORT[room], room


def test_the_commands_of_the_developers_page_name_what_exists():
    text = DOCUMENTS["DEVELOPERS.md"]
    for path in re.findall(
        r"`(?:python |bash |pytest )?((?:tests|gallery|shared|swimsim|\.ci)/[\w./]+)", text
    ):
        assert (ROOT / path).exists(), path
    for module in re.findall(r"`((?:motion|stroke|faults|metrics)/\w+\.py)`", text):
        assert (ROOT / "swimsim" / module).is_file(), module
