"""Files and folders written whole or not at all: a temporary name beside the target, then a rename."""

from __future__ import annotations

import errno
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from .errors import InputError, MachineError


def cannot_write(path: Path, error: OSError) -> Exception:
    """The clear error for a target that cannot be written."""
    reason = error.strerror or str(error)
    if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EROFS):
        return MachineError(f"{path}: cannot be written ({reason}); free some space or choose another place")
    return InputError(f"{path}: output: expected a place that can be written, got: {reason}")


@contextmanager
def whole_file(path: str | os.PathLike) -> Iterator[Path]:
    """Yield a temporary path in the same folder; it becomes `path` if the block ends well, else it goes.

    The temporary name keeps the suffix of `path`, because writers choose their format by it.

    Raises
    ------
    InputError
        The folder does not exist or cannot be written, or `path` is a folder.
    MachineError
        The disk is full or read-only.
    """
    path = Path(path)
    check_file(path)
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.stem}-", suffix=path.suffix, dir=path.parent)
        os.close(handle)
    except OSError as error:
        raise cannot_write(path, error) from error
    part = Path(name)
    try:
        yield part
        _usual_rights(part, 0o666)
        os.replace(part, path)
    except OSError as error:
        raise cannot_write(path, error) from error
    finally:
        part.unlink(missing_ok=True)


def check_file(path: Path) -> None:
    """Refuse a target file that is a folder or lies in none, before any work is done."""
    if path.is_dir():
        raise InputError(f"{path}: output: expected a file name, got a folder")
    if not path.parent.is_dir():
        raise InputError(
            f"{path}: output: expected an existing folder, got '{path.parent}', which does not exist"
        )


def check_ours(path: Path, note: str) -> None:
    """Refuse to write over a text file that an earlier run did not leave: one without `note` in it.

    For files whose name was not typed but follows from another.

    Raises
    ------
    InputError
    """
    check_file(path)
    if path.exists() and note not in path.read_text(encoding="utf-8", errors="replace"):
        raise InputError(
            f"{path}: output: expected no file of that name or one left by an earlier run, got another one; "
            "move it away or choose another name with --out"
        )


@contextmanager
def whole_folder(
    path: str | os.PathLike, *, ours: Callable[[str], bool] = lambda name: False, force: bool = False
) -> Iterator[Path]:
    """Yield a temporary folder beside `path`; it becomes `path` if the block ends well, else it is removed.

    Parameters
    ----------
    path : path of the folder; it may exist when it is empty or holds only files for which `ours` is true.
    ours : callable
        Takes the path of a file inside the folder (with `/`); true if an earlier run left it.
    force : bool
        Allow a folder with other files in it: they stay, files of the same name are replaced.

    Raises
    ------
    InputError
        The folder holds other files and `force` is off, or it cannot be written.
    """
    path = Path(os.path.abspath(path))
    foreign = check_folder(path, ours=ours, force=force)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part = Path(tempfile.mkdtemp(prefix=f".{path.name}-", dir=path.parent))
    except OSError as error:
        raise cannot_write(path, error) from error
    try:
        yield part
        _usual_rights(part, 0o777)
        if foreign or Path.cwd().is_relative_to(path):
            _merge(part, path)
        else:
            _swap(part, path)
    except OSError as error:
        raise cannot_write(path, error) from error
    finally:
        shutil.rmtree(part, ignore_errors=True)


def check_folder(path: Path, *, ours: Callable[[str], bool], force: bool = False) -> bool:
    """True if `path` holds files that an earlier run did not leave; an error if so and `force` is off."""
    if not path.exists():
        return False
    if not path.is_dir():
        raise InputError(f"{path}: output: expected a folder, got a file of that name")
    inside = (p.relative_to(path).as_posix() for p in path.rglob("*") if not p.is_dir())
    foreign = next((name for name in inside if not ours(name)), None)
    if foreign is not None and not force:
        raise InputError(
            f"{path}: output: expected a new or empty folder or one left by an earlier run, "
            f"got one with '{foreign}' in it; choose another with --out, or add --force to write into it "
            "(other files stay)"
        )
    return foreign is not None


def _usual_rights(path: Path, mode: int) -> None:
    """Rights that an ordinary new file or folder would have; temporary ones are private."""
    mask = os.umask(0)
    os.umask(mask)
    os.chmod(path, mode & ~mask)


def _swap(part: Path, path: Path) -> None:
    old = Path(tempfile.mkdtemp(prefix=f".{path.name}-old-", dir=path.parent)) if path.exists() else None
    if old is not None:
        os.replace(path, old)
    os.replace(part, path)
    if old is not None:
        shutil.rmtree(old, ignore_errors=True)


def _merge(part: Path, path: Path) -> None:
    for source in sorted(p for p in part.rglob("*") if not p.is_dir()):
        target = path / source.relative_to(part)
        target.parent.mkdir(parents=True, exist_ok=True)
        os.replace(source, target)
