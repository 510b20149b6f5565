"""Pictures of the views. HAND-COUNTED: coarse dots; SECOND METHOD: projection finds the body; INVARIANT: words."""

import os
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from swimsim.cli.main import run_program
from swimsim.ground.projection import project
from swimsim.teaching.view_pictures import pose
from swimsim.view import views_page
from swimsim.view.cameras import VIEWS, mean_speed, named_camera, stature_of
from swimsim.view.sampling import positions_at
from swimsim.view.views_page import CELL, COLUMNS, GAP, HEAD_H, LINE_H, MARGIN, NAME_H, SAYS_H, coarse

ROOT = Path(__file__).resolve().parents[1]
DARK, BODY = 128, 190  # least of red, green and blue: ink on paper; suit and skin, with water at 210 and more
NEAR_PX = 4  # a limb is wider than this on both sides of its joint


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    path = tmp_path_factory.mktemp("views") / "views.png"
    assert run_program(["list", "views", "--out", str(path)]) == 0
    return np.asarray(Image.open(path).convert("RGB"))


def corner(i):
    """Left and top of the picture of a view on the page."""
    high = CELL[1] + NAME_H + SAYS_H + LINE_H + GAP
    return MARGIN + i % COLUMNS * (CELL[0] + GAP), HEAD_H + i // COLUMNS * high


def pixel(view, joint):
    """Where the projection puts a joint in the picture of a view."""
    trace, at = pose().trace, np.array([pose().at_s])
    point = positions_at(trace, at)[:, trace.joint_names.index(joint)]
    camera = named_camera(view, stature_of(trace), size_px=CELL)
    return project(camera, point, shift_m=mean_speed(trace) * at)[0]


@pytest.mark.parametrize("joint", ["right_elbow", "left_wrist"])  # in the air, and under water
def test_the_page_shows_the_body_of_every_view_where_the_projection_says(page, joint):
    assert len(VIEWS) == 8
    for i, view in enumerate(VIEWS):
        x, y = corner(i)
        cell = page[y : y + CELL[1], x : x + CELL[0]]
        column, row = np.rint(pixel(view, joint)).astype(int)
        spot = cell[row - NEAR_PX : row + NEAR_PX, column - NEAR_PX : column + NEAR_PX]
        assert (spot.min(axis=-1) < BODY).mean() > 0.9, view
        assert (cell.min(axis=-1) < BODY).mean() < 0.3, view


def test_no_two_views_show_the_same(page):
    cells = [page[y : y + CELL[1], x : x + CELL[0]].astype(int) for x, y in map(corner, range(8))]
    for i, one in enumerate(cells):
        assert all(np.abs(one - other).mean() > 1 for other in cells[:i])


def test_every_picture_has_its_name_words_and_line_below_it(page):
    for i in range(8):
        x, y = corner(i)
        top = y + CELL[1]
        for high in (NAME_H, SAYS_H, LINE_H):
            assert (page[top : top + high, x : x + CELL[0]].min(axis=-1) < DARK).sum() > 50
            top += high


def test_the_words_on_the_page_are_those_of_the_list(tmp_path, monkeypatch):
    written = []
    monkeypatch.setattr(views_page, "write", lambda canvas, text, at, **_: written.append(text))
    assert run_program(["list", "views", "front", "--out", str(tmp_path / "front.png")]) == 0
    assert written == [
        "Views",
        "front",
        "front; camera under water",
        "swimsim clip --view front",
        "Generated model, not a real person.",
    ]


def test_coarse_dots_are_means_by_hand():
    """Four by four pixels as two letters: each letter has an upper and a lower dot of 2 x 2 pixels."""
    grey = np.array([[0, 4, 10, 10], [4, 8, 10, 10], [100, 100, 0, 0], [100, 100, 0, 40]], np.uint8)
    dots = coarse(np.repeat(grey[..., None], 3, axis=-1), 2)
    assert dots.shape == (1, 2, 2, 3)
    assert dots[0, :, :, 0].tolist() == [[4, 10], [100, 10]]


def terminal(colours):
    """What `swimsim list views` writes to a terminal of 100 columns."""
    pty = pytest.importorskip("pty")
    master, slave = pty.openpty()
    env = {**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "100", "PYTHONIOENCODING": "utf-8", **colours}
    program = subprocess.Popen(
        [sys.executable, "-m", "swimsim", "list", "views"], stdout=slave, stderr=slave, env=env, cwd=ROOT
    )
    os.close(slave)
    text = b""
    try:
        while chunk := os.read(master, 65536):
            text += chunk
    except OSError:  # the other end was closed
        pass
    os.close(master)
    assert program.wait() == 0
    return text.decode("utf-8")


def test_a_colour_terminal_shows_half_blocks_in_the_colours_of_the_pictures():
    text = terminal({"TERM": "xterm-256color", "COLORTERM": "truecolor"})
    dots = coarse(views_page.view_picture("side_left", pose()), 38)
    assert text.count("▀") == 8 * dots.shape[0] * 38
    first = re.search(r"\x1b\[38;2;(\d+);(\d+);(\d+);48;2;(\d+);(\d+);(\d+)m▀", text).groups()
    assert [int(number) for number in first] == [*dots[0, 0, 0].tolist(), *dots[0, 1, 0].tolist()]
    for view in VIEWS:
        assert f"swimsim clip --view {view}" in text


def test_a_terminal_without_colours_and_a_pipe_show_plain_text(capsys):
    assert "▀" not in terminal({"TERM": "dumb", "COLORTERM": ""})
    assert run_program(["list", "views"]) == 0
    text = capsys.readouterr().out
    assert "▀" not in text and "\x1b" not in text
    assert all(f"swimsim clip --view {view}" in text for view in VIEWS)


@pytest.mark.parametrize(
    ("arguments", "match"),
    [
        (["list", "faults", "--out", "v.png"], "--out: expected `list views` with it, got the list faults"),
        (["list", "--out", "v.png"], "--out: expected `list views` with it, got the list of lists"),
        (["list", "views", "--out", "v.jpg"], "v.jpg: output: expected a file name ending in .png"),
        (["list", "views", "--out", "no/v.png"], "output: expected an existing folder"),
        (["list", "views", "frnt", "--out", "v.png"], "got 'frnt'; did you mean 'front'"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_what_cannot_be_drawn_is_one_line_code_2_and_leaves_nothing(
    tmp_path, monkeypatch, capsys, arguments, match
):
    monkeypatch.chdir(tmp_path)
    assert run_program(arguments) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert re.search(match, said)
    assert list(tmp_path.iterdir()) == []
