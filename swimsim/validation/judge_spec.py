"""What is known of somebody else's detector before it judges: its name, its time limit, a hash of its files."""

from __future__ import annotations

import contextlib
import hashlib
import os
import signal
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

TIME_LIMIT_S = 10.0


@dataclass(frozen=True)
class JudgeSpec:
    """Somebody else's detector: its name as given, how long it may take for one clip [s], and a hash of its files."""

    name: str
    time_limit_s: float = TIME_LIMIT_S
    files: str = ""

    @property
    def is_command(self) -> bool:
        """Whether it is a command and no Python callable."""
        return "{in}" in self.name or "{out}" in self.name


def hash_of(files: Iterable[str | os.PathLike]) -> str:
    """One hash of the names and contents of files, whatever folder they lie in."""
    total = hashlib.sha256()
    for path in map(Path, files):
        with open(path, "rb") as file:
            total.update(path.name.encode() + hashlib.file_digest(file, "sha256").digest())
    return total.hexdigest()[:16]


def end_group(group: int) -> None:
    """End every process of a group."""
    with contextlib.suppress(ProcessLookupError, PermissionError):
        os.killpg(group, signal.SIGKILL)
