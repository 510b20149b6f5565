"""Readers of the published tables, definitions and texts in `shared/`, from a checkout or an installed wheel."""

from __future__ import annotations

import csv
import functools
import tomllib
from pathlib import Path
from typing import Any

from .errors import InputError, not_text

_PACKAGE = Path(__file__).resolve().parents[1]


def data_folder(name: str) -> Path:
    """Folder `shared` or `scenarios`, beside the package (checkout) or inside it (wheel)."""
    inside = _PACKAGE / "_data" / name
    return inside if inside.is_dir() else _PACKAGE.parent / name


@functools.cache
def read_csv(name: str) -> tuple[dict[str, str], ...]:
    """Rows of `shared/<name>.csv` as printed text; lines that start with # are the table's source."""
    with open(data_folder("shared") / f"{name}.csv", encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(line for line in file if not line.startswith("#")))


@functools.cache
def read_toml(name: str) -> dict:
    """Content of `shared/<name>.toml`."""
    with open(data_folder("shared") / f"{name}.toml", "rb") as file:
        return tomllib.load(file)


def users_toml(path: str | Path, what: str) -> dict[str, Any]:
    """Content of a TOML file that a user wrote.

    Parameters
    ----------
    what : str
        What it should be, for the error: "a camera file".

    Raises
    ------
    InputError
        No such file, one that cannot be read, or no TOML.
    """
    path = Path(path)
    if not path.is_file():
        raise InputError(f"{path}: expected {what}, got {'a folder' if path.is_dir() else 'none'}")
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(f"{path}: expected {what}, got: {error.strerror or error}") from error
    except UnicodeDecodeError as error:
        raise InputError(f"{path}: {not_text(error)}") from error
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise InputError(f"{path}: expected a TOML file: {error}") from error
