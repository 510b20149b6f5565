"""Read a scenario file: all that is wrong at once, or a Scenario with every default filled in."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from ..ground.conventions import MODEL_LINE
from ..ground.errors import InputError, nearest, not_text
from ..ground.files import whole_file
from ..ground.tables import data_folder
from ..ground.toml_text import toml_text
from .clean_keys import own_keys, with_clean_swimmer
from .models import Scenario
from .problems import lines
from .resolve import resolve

BUILT_IN = "open_water"


def read_scenario(source: str | os.PathLike | Mapping[str, Any] | None = None) -> Scenario:
    """A scenario from a TOML file, a ready-to-run name, or a mapping; the built-in one if nothing is given.

    Returns
    -------
    Scenario
        Every default filled in: written out and read again it plays the same run.

    Raises
    ------
    InputError
        One line for each thing that is wrong: file, field, expected, got, nearest valid word.
    """
    if isinstance(source, Mapping):
        name, content = "scenario", dict(source)
    else:
        path = find_scenario(source)
        name, content = str(path if source is None or path != _shipped(str(source)) else source), _load(path)
    scenario = _valid(content, name)
    if scenario.swimmer.clean is not None:
        twice = own_keys(content)
        if twice:
            raise InputError("\n".join(f"{name}: {line}" for line in twice))
        scenario = _valid(with_clean_swimmer(content), name)
    return resolve(scenario)


def _valid(content: Mapping[str, Any], name: str) -> Scenario:
    try:
        scenario = Scenario.model_validate(content)
    except ValidationError as error:
        raise InputError("\n".join(f"{name}: {line}" for line in lines(error, Scenario))) from None
    scenario._source = name
    return scenario


def scenario_names() -> tuple[str, ...]:
    """Names of the ready-to-run scenarios; the built-in one is first."""
    names = sorted(path.stem for path in data_folder("scenarios").glob("*.toml"))
    return tuple(sorted(names, key=lambda name: name != BUILT_IN))


def find_scenario(source: str | os.PathLike | None) -> Path:
    """Path of a scenario: given by path, by the name of a ready-to-run one, or None for the built-in one."""
    if source is None:
        return _shipped(BUILT_IN)
    path = Path(source)
    if path.is_file():
        return path
    if str(source) in scenario_names():
        return _shipped(str(source))
    if path.is_dir():
        raise InputError(f"{path}: expected a scenario file, got a folder")
    raise InputError(
        f"{path}: expected a scenario file or the name of a ready-to-run one, got neither; {_near(path)}"
    )


def _near(path: Path) -> str:
    """The nearest file of a path that ends like a file, or the nearest name of a ready-to-run scenario."""
    if not path.suffix:
        return nearest(path.name, scenario_names())
    files = path.parent.glob(f"*{path.suffix}") if path.parent.is_dir() else ()
    hint = nearest(path.stem, [file.stem for file in files])
    return hint.replace("'?", f"{path.suffix}'?") if hint.startswith("did") else "there is no such file"


def to_toml(scenario: Scenario) -> str:
    """The scenario as text, every default written out."""
    head = f"# A swimsim scenario with every default written out. {MODEL_LINE}\n"
    return head + toml_text(scenario.model_dump(exclude_none=True))


def write_scenario(scenario: Scenario, path: str | os.PathLike) -> None:
    """Write a scenario as TOML."""
    with whole_file(path) as part:
        part.write_text(to_toml(scenario), encoding="utf-8", newline="\n")


def _shipped(name: str) -> Path:
    return data_folder("scenarios") / f"{name}.toml"


def _load(path: Path) -> dict[str, Any]:
    text = ""
    try:
        text = path.read_bytes().decode("utf-8")
        return tomllib.loads(text)
    except OSError as error:
        raise InputError(f"{path}: expected a readable file, got: {error.strerror or error}") from error
    except UnicodeDecodeError as error:
        raise InputError(f"{path}: {not_text(error)}") from error
    except tomllib.TOMLDecodeError as error:
        last = f"at line {len(text.splitlines()) or 1}, the end"
        said = str(error).replace("at end of document", last)
        raise InputError(f"{path}: expected TOML, got something else: {said}") from error
    except RecursionError as error:
        raise InputError(f"{path}: expected a short scenario, got tables nested too deep") from error
