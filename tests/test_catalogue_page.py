"""ROUND TRIP: the gallery's page of all faults and drills is that of the catalogue; its scripts draw it."""

import re
import runpy
from pathlib import Path

import pytest
from PIL import Image

import swimsim
from swimsim.ground.conventions import MODEL_LINE

GALLERY = Path(__file__).resolve().parents[1] / "gallery"
PAGE = (GALLERY / "catalogue.md").read_text(encoding="utf-8")
PICTURES = {p.name for p in (GALLERY / "pictures").iterdir()}
FAULTS = [row["name"] for row in swimsim.listing("faults")]
DRILLS = list(swimsim.drill_names())
SIZE = 200_000  # of a sheet or of a clip of one cycle [bytes]; all together have 12 MB


def script(name: str) -> dict:
    """What a script of the gallery defines."""
    return runpy.run_path(str(GALLERY / name))


def sections() -> dict[str, str]:
    """Text of each entry by the name its first command draws."""
    parts = PAGE.split("\n### ")[1:]
    return {re.search(r"one_fault\.py (\w+)", part).group(1): part for part in parts}


def test_the_page_is_what_the_catalogue_makes_of_it_now():
    assert script("catalogue.py")["page"]() == PAGE, "renew it: python gallery/catalogue.py"


def test_every_fault_and_drill_has_an_entry_in_the_order_of_the_catalogue():
    assert list(sections()) == [*FAULTS, *DRILLS]


@pytest.mark.parametrize("name", [*FAULTS, *DRILLS])
def test_an_entry_has_both_commands_and_the_pictures_that_are_there(name):
    entry = sections()[name]
    for made_by in ("one_fault.py", "sheets.py"):
        assert f"python gallery/{made_by} {name}\n" in entry
    wanted = {f"{name}.gif", f"sheet_{name}.png"}
    assert set(re.findall(r"\]\(pictures/([^)]+)\)", entry)) == wanted & PICTURES
    assert ("Not all drawn yet." in entry) == (not wanted <= PICTURES)


def test_a_new_entry_without_pictures_links_none(tmp_path):
    text = script("catalogue.py")["page"](tmp_path)
    assert "](pictures/" not in text
    assert text.count("Not all drawn yet.") == len(FAULTS) + len(DRILLS)


def test_the_page_can_be_written_elsewhere(tmp_path, capsys):
    script("catalogue.py")["main"](["--page", str(tmp_path / "page.md")])
    assert (tmp_path / "page.md").read_text(encoding="utf-8") == PAGE
    assert f"of {len(FAULTS)} drawn" in capsys.readouterr().out


@pytest.mark.parametrize("name", [FAULTS[0], "wide_pull", DRILLS[0]])
def test_the_two_commands_of_an_entry_draw_its_two_pictures_small(name, tmp_path, capsys):
    for made_by in ("one_fault.py", "sheets.py"):
        script(made_by)["main"]([name, "--out", str(tmp_path)])
    clip, sheet = tmp_path / f"{name}.gif", tmp_path / f"sheet_{name}.png"
    assert {p.name for p in tmp_path.iterdir()} == {clip.name, sheet.name}
    with Image.open(sheet) as picture:
        assert (picture.mode, picture.width, picture.text["Description"]) == ("P", 1600, MODEL_LINE)
    with Image.open(clip) as moving:
        assert moving.size == (480, 270)
        assert moving.n_frames > 8
    assert sheet.stat().st_size < SIZE
    assert clip.stat().st_size < 1.1 * SIZE
    assert re.search(r"\d", capsys.readouterr().out)


def test_a_sheet_can_show_another_severity(tmp_path, capsys):
    """At entry a crossover of 0.35 is half as far from the clean hand line as one of 0.7."""
    values = []
    for severity in ("0", "0.35", "0.7"):
        script("sheets.py")["main"](
            ["crossover", "--severity", severity, "--width", "800", "--out", str(tmp_path)]
        )
        values.append(float(re.search(r"(-?\d+) cm", capsys.readouterr().out).group(1)))
    clean, half, whole = values
    assert half - clean == pytest.approx((whole - clean) / 2, abs=1)  # printed in whole centimetres


def test_what_cannot_be_drawn_is_named_and_the_rest_is_drawn(tmp_path, monkeypatch):
    room = script("catalogue.py")
    drawn = []

    def one(argv):
        if argv[0] == "crossover":
            raise KeyError("crossover")
        drawn.append(argv[0])

    parts = {"FAULTS": ["crossover", "wide_pull"], "DRILLS": ["zipper"], "PRESETS": [], "main": one}
    monkeypatch.setattr(runpy, "run_path", lambda path: parts)
    failed = room["draw"](tmp_path)
    assert drawn == ["open_water", "wide_pull", "zipper", "wide_pull", "zipper"]
    assert [line.split(":")[0] for line in failed] == ["one_fault.py crossover", "sheets.py crossover"]
