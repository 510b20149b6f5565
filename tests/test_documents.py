"""ROUND TRIP: what the documents show works as it stands: commands, Python, pictures, tables of names."""

import os
import re
import runpy
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
DOCUMENTS = {name: (ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md")}
GALLERY = (ROOT / "gallery" / "README.md").read_text(encoding="utf-8")
MEBIBYTE = 1024 * 1024
FAST = {
    "sheets.py": ["pace400_woman", "early_exit", "--width", "800"],
    "one_fault.py": ["early_exit"],
    "hand_path.py": ["wide_pull"],
    "roll_shapes.py": [],
    "coordination.py": [],
    "recovery.py": ["open_water", "--seeds", "1", "--rates", "60"],
}


def blocks(text: str, language: str) -> list[str]:
    """Code blocks of one language, in order."""
    fenced = re.findall(r"^```(\w*)\n(.*?)^```$", text, flags=re.M | re.S)
    return [body for kind, body in fenced if kind == language]


def shell(command: str, folder: Path) -> subprocess.CompletedProcess:
    """Run one shown command with this interpreter in another folder."""
    words = re.sub(r"^swimsim\b", f"{sys.executable} -m swimsim", command)
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.run(words, shell=True, cwd=folder, env=env, capture_output=True, text=True, check=False)


def test_the_first_two_blocks_run_and_test_with_their_own_set_up():
    first, second = blocks(DOCUMENTS["README.md"], "sh")[:2]
    assert first.startswith("python3 -m venv") and "swimsim run" in first
    assert second.startswith("python3 -m venv") and ".[test]" in second and "pytest" in second


def test_every_command_of_the_readme_runs(tmp_path):
    run = re.search(r"swimsim run[^\n]*", blocks(DOCUMENTS["README.md"], "sh")[0]).group(0)
    for command in [run, *blocks(DOCUMENTS["README.md"], "sh")[2].strip().split("\n")]:
        ran = shell(command, tmp_path)
        assert ran.returncode == 0, f"{command}\n{ran.stderr}"


def test_the_scenario_and_the_python_of_the_readme_run(tmp_path, capsys):
    (tmp_path / "own.toml").write_text(blocks(DOCUMENTS["README.md"], "toml")[0], encoding="utf-8")
    assert shell("swimsim trace own.toml --out own", tmp_path).returncode == 0
    script = tmp_path / "shown.py"
    script.write_text(blocks(DOCUMENTS["README.md"], "python")[0], encoding="utf-8")
    runpy.run_path(str(script))
    exact, index, recovered = (float(word) for word in capsys.readouterr().out.split())
    assert recovered == pytest.approx(exact, abs=0.5)  # the reader sees 60 frames a second; half a centimetre
    assert index < 0


def test_the_table_of_the_readme_is_what_a_run_prints(tmp_path):
    printed = shell("swimsim run --out out", tmp_path).stdout
    shown = blocks(DOCUMENTS["README.md"], "")[0]
    rows = [line.split() for line in shown.strip().split("\n")]
    got = [line.split() for line in printed.split("\n")]
    assert len(rows) == 7
    for row in rows:
        assert row in got


def test_every_fault_and_verb_is_in_the_readme():
    from swimsim.faults.catalogue import faults

    for slug in faults():
        assert f"| `{slug}` |" in DOCUMENTS["README.md"]
    for verb in ("run", "list", "clip", "trace", "measure", "doctor"):
        assert f"swimsim {verb}" in DOCUMENTS["README.md"]


@pytest.mark.parametrize("name", ["README.md", "gallery/README.md"])
def test_linked_pictures_and_pages_exist(name):
    text, folder = (ROOT / name).read_text(encoding="utf-8"), (ROOT / name).parent
    links = [link for link in re.findall(r"\]\(([^)#]+)\)", text) if "://" not in link]
    assert links
    for link in links:
        assert (folder / link).is_file(), link


@pytest.mark.parametrize("script", sorted(FAST))
def test_gallery_scripts_run_and_print_their_number(script, tmp_path, capsys):
    assert (ROOT / "gallery" / script).is_file()
    arguments = FAST[script] + (
        ["--out", str(tmp_path)] if script not in ("coordination.py", "recovery.py") else []
    )
    runpy.run_path(str(ROOT / "gallery" / script))["main"](arguments)
    assert re.search(r"\d", capsys.readouterr().out)
    if "--out" in arguments:
        assert list(tmp_path.iterdir())


def test_every_gallery_script_is_on_the_gallery_page():
    shown = {
        command.split()[1].removeprefix("gallery/")
        for block in blocks(GALLERY, "sh")
        for command in [block.strip()]
    }
    assert shown == set(FAST) == {p.name for p in (ROOT / "gallery").glob("*.py")}


def test_the_gallery_keeps_to_its_budget():
    sizes = [
        p.stat().st_size
        for p in (ROOT / "gallery").rglob("*")
        if p.is_file() and "__pycache__" not in p.parts
    ]
    assert max(sizes) < MEBIBYTE
    assert sum(sizes) < 12 * MEBIBYTE


def test_the_gallery_numbers_of_the_coordination_table_are_still_true(capsys):
    runpy.run_path(str(ROOT / "gallery" / "coordination.py"))["main"]([])
    assert capsys.readouterr().out.strip() in GALLERY


@pytest.mark.parametrize("name", ["README.md", "gallery/README.md"])
def test_cautions_stand_where_corrections_do(name):
    from swimsim.ground.conventions import CAUTION_LINE, MODEL_LINE

    text = " ".join((ROOT / name).read_text(encoding="utf-8").split())
    assert CAUTION_LINE in text
    assert MODEL_LINE in text


def test_the_commands_of_the_developers_page_name_what_exists():
    text = DOCUMENTS["DEVELOPERS.md"]
    for path in re.findall(
        r"`(?:python |bash |pytest )?((?:tests|gallery|shared|swimsim|\.ci)/[\w./]+)", text
    ):
        assert (ROOT / path).exists(), path
    for module in re.findall(r"`((?:motion|stroke|faults|metrics)/\w+\.py)`", text):
        assert (ROOT / "swimsim" / module).is_file(), module
