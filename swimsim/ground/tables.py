"""Readers of the published tables, definitions and texts in `shared/`, from a checkout or an installed wheel."""

from __future__ import annotations

import csv
import functools
import tomllib
from pathlib import Path

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
