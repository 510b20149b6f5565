"""INVARIANT: the fixed top level of the project, and house rules that a reader of the source can hold."""

import ast
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "swimsim", "scenarios", "tests", "gallery", "shared",
}  # fmt: skip
DOTTED = {".ci", ".gitignore"}
LONGEST_MODULE = 300
KINDS_OF_TRUTH = (
    "PUBLISHED", "HAND-COUNTED", "SECOND METHOD", "INVARIANT", "ROUND TRIP", "COMMON PRACTICE", "FROM MEMORY",
    "FROZEN",
)  # fmt: skip
MEGABYTE = 1_000_000

PACKAGE = sorted((ROOT / "swimsim").rglob("*.py"))
TESTS = sorted((ROOT / "tests").rglob("test_*.py"))


@pytest.fixture(scope="module")
def tracked():
    """Paths of all files under version control, relative to the project."""
    if shutil.which("git") is None or not (ROOT / ".git").exists():
        pytest.skip("not a git checkout")
    run = subprocess.run(
        ["git", "-c", f"safe.directory={ROOT}", "ls-files", "-z"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return [Path(name) for name in run.stdout.split("\0") if name]


def test_top_level_is_fixed(tracked):
    top = {path.parts[0] for path in tracked}
    assert {name for name in top if not name.startswith(".")} == TOP_LEVEL
    assert {name for name in top if name.startswith(".")} <= DOTTED


def test_gallery_stays_small(tracked):
    sizes = {
        path: (ROOT / path).stat().st_size
        for path in tracked
        if path.parts[0] == "gallery" and (ROOT / path).exists()
    }
    assert {str(path): size for path, size in sizes.items() if size >= MEGABYTE} == {}
    assert sum(sizes.values()) <= 12 * MEGABYTE


def test_nothing_made_by_a_run_is_tracked(tracked):
    made = {"__pycache__", ".venv", "build", "dist", "out", "swimsim-out", ".pytest_cache", ".ruff_cache"}
    assert [str(path) for path in tracked if made & set(path.parts)] == []


def too_long(text):
    """True for a module of more than 300 lines that has no line `# long: reason`."""
    lines = text.splitlines()
    reason = any(line.startswith("# long:") and len(line) > len("# long: ") for line in lines)
    return len(lines) > LONGEST_MODULE and not reason


def test_no_module_is_long_without_a_reason():
    assert [str(path) for path in PACKAGE if too_long(path.read_text(encoding="utf-8"))] == []


def test_the_length_rule_itself():
    assert too_long("x = 1\n" * 301)
    assert too_long("# long:\n" + "x = 1\n" * 300)
    assert not too_long("# long: one table that must stay together\n" + "x = 1\n" * 300)
    assert not too_long("x = 1\n" * 300)


def lines_where(path, test):
    """`file:line` of every node of the syntax tree that `test` picks."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [f"{path.relative_to(ROOT)}:{node.lineno}" for node in ast.walk(tree) if test(node)]


def test_no_bare_assert_in_the_package():
    assert [line for path in PACKAGE for line in lines_where(path, lambda n: isinstance(n, ast.Assert))] == []


def raises_without_match(node):
    return (
        isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr == "raises"
        and not any(word.arg == "match" for word in node.keywords)
    )


def test_every_expected_error_is_matched_by_its_text():
    assert [line for path in TESTS for line in lines_where(path, raises_without_match)] == []


@pytest.mark.parametrize("path", TESTS, ids=lambda path: path.name)
def test_first_line_of_a_test_file_says_which_truth_it_uses(path):
    first = path.read_text(encoding="utf-8").split("\n", 1)[0]
    assert first.startswith('"""') and any(kind in first for kind in KINDS_OF_TRUTH)
