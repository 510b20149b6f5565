"""INVARIANT: what each room of the package may import, read from the source with `ast`.

The judging side (metrics, detectors) cannot see the making side, and the drawing and water engines stay in
their rooms. The first tests show on small made-up packages that a forbidden import is found in every form.
"""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

MAKING = {"ground", "swimmer", "stroke", "faults", "motion", "water", "view"}
JUDGING = {"metrics", "detectors"}
ABOVE = MAKING | JUDGING | {"scenario"}

#: Room -> rooms of ours that it may import (itself always).
MAY_IMPORT = {
    "ground": set(),
    "swimmer": {"ground"},
    "stroke": {"ground", "swimmer"},
    "faults": {"ground", "stroke"},
    "motion": {"ground", "swimmer", "stroke"},
    "water": {"ground", "swimmer"},
    "view": {"ground", "swimmer"},
    "scenario": MAKING,
    "metrics": {"ground"},
    "detectors": {"ground", "metrics"},
    "validation": ABOVE,
    "teaching": ABOVE,
    "twin": ABOVE,
    "cli": ABOVE | {"validation", "teaching", "twin", "api", "swimsim"},
    "api": ABOVE | {"validation", "teaching", "twin"},
    "swimsim": {"api"},
}

#: Library -> the only room that may import it, and why.
ONLY_IN = {
    "pymunk": ("water", "one physics engine, one place that guards what is handed to it"),
    "matplotlib": ("view", "drawing is slow to load and knows no truth"),
    "imageio": ("view", "one writer of pictures"),
    "imageio_ffmpeg": ("view", "one writer of clips"),
    "av": ("view", "one writer of clips"),
    "cv2": ("view", "drawing; projection of the package is its own"),
    "PIL": ("view", "drawing"),
}

HEAVY = ("scipy", "matplotlib", "cv2", "imageio", "imageio_ffmpeg", "av", "PIL", "pymunk")


def modules(root):
    """Dotted name -> (path, syntax tree) of every module of the package under `root`."""
    found = {}
    for path in sorted((root / "swimsim").rglob("*.py")):
        parts = path.relative_to(root).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found[name] = (path, ast.parse(path.read_text(encoding="utf-8")))
    return found


def room(name):
    """Room of a dotted module name; the package's own `__init__` is the room `swimsim`."""
    parts = name.split(".")
    return {"__main__": "cli"}.get(parts[1], parts[1]) if len(parts) > 1 else "swimsim"


def absolute(name, *, path, level, target):
    """Dotted name that a relative import points to."""
    if level == 0:
        return target
    base = name.split(".") if path.name == "__init__.py" else name.split(".")[:-1]
    base = base[: len(base) - (level - 1)]
    return ".".join([*base, target] if target else base)


def imports(name, found):
    """(dotted name, line) of everything that a module imports, at its top or inside functions."""
    path, tree = found[name]
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield alias.name, node.lineno
        elif isinstance(node, ast.ImportFrom):
            base = absolute(name, path=path, level=node.level, target=node.module)
            for alias in node.names:
                whole = f"{base}.{alias.name}"
                inside = whole in found or (base == "swimsim" and alias.name in MAY_IMPORT)
                yield (whole if inside else base), node.lineno
        elif isinstance(node, ast.Call) and called(node) in ("import_module", "__import__"):
            first = node.args[0] if node.args else None
            yield (first.value if isinstance(first, ast.Constant) else "<computed>"), node.lineno


def called(node):
    """Last name of a called function."""
    return getattr(node.func, "attr", getattr(node.func, "id", ""))


def offences(root):
    """One line of text for every import that the table forbids."""
    found, lines = modules(root), []
    for name in found:
        here = room(name)
        if here not in MAY_IMPORT:
            lines.append(f"{name}: '{here}' is no room of the table")
            continue
        for target, line in imports(name, found):
            top = target.split(".")[0]
            where = f"{name}:{line} imports {target}"
            if top == "<computed>" and here not in ("api", "swimsim"):
                lines.append(f"{where}: a computed import cannot be checked")
            elif top == "swimsim" and room(target) not in MAY_IMPORT[here] | {here}:
                lines.append(f"{where}: {here} may import {sorted(MAY_IMPORT[here])}")
            elif top in ONLY_IN and ONLY_IN[top][0] != here:
                lines.append(f"{where}: only in {ONLY_IN[top][0]} ({ONLY_IN[top][1]})")
    return lines


def loops(root):
    """Modules that import each other, directly or round a corner: what is left when leaves are taken off."""
    found = modules(root)
    graph = {name: {t for t, _ in imports(name, found) if t in found and t != name} for name in found}
    while leaves := {name for name, targets in graph.items() if not targets}:
        graph = {name: targets - leaves for name, targets in graph.items() if name not in leaves}
    return sorted(graph)


def make_package(root, files):
    for name, text in files.items():
        path = root / "swimsim" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


# ---- the reader itself, on small packages


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("metrics/a.py", "from ..motion.solve import solve\n"),
        ("metrics/a.py", "from swimsim.motion import solve\n"),
        ("metrics/a.py", "import swimsim.motion.solve as s\n"),
        ("metrics/a.py", "from .. import motion\n"),
        ("metrics/a.py", "import swimsim\n"),
        ("metrics/a.py", "from swimsim import faults\n"),
        ("metrics/a.py", "def f():\n    from ..stroke import pattern\n"),
        ("metrics/a.py", "import importlib\nimportlib.import_module('swimsim.motion')\n"),
        ("metrics/a.py", "import importlib\nname = 'x'\nimportlib.import_module(name)\n"),
        ("metrics/a.py", "from .. import solve\n"),
        ("metrics/deep/a.py", "from ...motion import solve\n"),
        ("metrics/__init__.py", "from ..motion import solve\n"),
        ("detectors/a.py", "from ..scenario.play import play\n"),
        ("ground/a.py", "from ..swimmer.anthropometry import Body\n"),
        ("faults/a.py", "from ..motion.solve import solve\n"),
        ("motion/a.py", "from ..faults.catalogue import FAULTS\n"),
        ("view/a.py", "from ..motion.truth import Truth\n"),
        ("scenario/a.py", "from ..metrics import events\n"),
        ("teaching/a.py", "from ..validation import recovery\n"),
        ("validation/a.py", "from ..teaching import marks\n"),
        ("validation/a.py", "import matplotlib.pyplot as plt\n"),
        ("motion/a.py", "def f():\n    import cv2\n"),
        ("teaching/a.py", "from PIL import Image\n"),
        ("cli/a.py", "import imageio.v3\n"),
        ("view/a.py", "import pymunk\n"),
        ("extra/a.py", "import math\n"),
    ],
)
def test_a_forbidden_import_is_found(tmp_path, file, text):
    make_package(tmp_path, {"__init__.py": "", file: text})
    assert len(offences(tmp_path)) == 1


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("metrics/a.py", "from ..ground.records import Trace\nimport numpy as np\nfrom .b import c\n"),
        ("view/a.py", "import cv2\nfrom ..ground import records\nfrom ..swimmer.anthropometry import Body\n"),
        ("water/a.py", "import pymunk\n"),
        ("cli/a.py", "from .. import api\nfrom ..validation import recovery\n"),
        ("__init__.py", "def __getattr__(name):\n    from . import api\n    return getattr(api, name)\n"),
        ("twin/a.py", "from ..motion.solve import solve\nfrom ..metrics import events\n"),
    ],
)
def test_an_allowed_import_passes(tmp_path, file, text):
    make_package(tmp_path, {"__init__.py": "", file: text})
    assert offences(tmp_path) == []


def test_a_loop_round_a_corner_is_found(tmp_path):
    files = {
        "ground/a.py": "from .b import x\n",
        "ground/b.py": "def f():\n    from swimsim.ground import c\n",
        "ground/c.py": "from . import a\n",
        "ground/d.py": "from . import a\n",
        "ground/e.py": "",
    }
    make_package(tmp_path, files)
    # d hangs on the loop and stays too; e does not
    assert loops(tmp_path) == [f"swimsim.ground.{letter}" for letter in "abcd"]


# ---- the package


def test_every_import_keeps_to_the_table():
    assert offences(ROOT) == []


def test_no_modules_import_each_other():
    assert loops(ROOT) == []


def loaded_by(module):
    """Top-level names of all modules in memory after an import, in a new interpreter."""
    code = f"import sys, {module}; print(*sorted({{name.split('.')[0] for name in sys.modules}}))"
    run = subprocess.run(
        [sys.executable, "-W", "error", "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr
    return set(run.stdout.split())


def test_importing_the_package_stays_light():
    assert loaded_by("swimsim") & {*HEAVY, "pydantic", "typer", "rich"} == set()


def test_loading_the_command_line_stays_light():
    assert loaded_by("swimsim.cli.main") & set(HEAVY) == set()


def test_the_reader_of_loaded_modules_sees_a_heavy_one():
    assert "scipy" in loaded_by("scipy.interpolate")
