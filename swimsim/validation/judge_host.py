"""The detector's own process: a Python callable is found, then asked clip after clip until the pipe closes.

What it prints is caught and handed back with the answer, so that it does not stand between the lines of progress.
"""

from __future__ import annotations

import contextlib
import io
import os
import sys
import traceback
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

ENTRY_POINTS = "swimsim.detectors"
_INSTALLED = ("site-packages", "dist-packages")


def host(pipe: Any, name: str) -> None:
    """Find the callable, say so (trouble, files, what was printed), then answer (answer, trouble, what was printed)."""
    with contextlib.suppress(OSError):
        os.setsid()  # a group of its own: what it starts can be ended with it
        os.dup2(2, 1)  # what is printed past Python
    said = io.StringIO()
    try:
        with contextlib.redirect_stdout(said):
            find = named_callable(name)
        pipe.send((None, _own_files(find), said.getvalue()))
    except BaseException as error:
        pipe.send((_where(error), [], said.getvalue()))
        return
    while True:
        try:
            data = pipe.recv()
        except EOFError:
            return
        said = io.StringIO()
        try:
            with contextlib.redirect_stdout(said):
                answer = _listed(find(data))
            pipe.send((answer, None, said.getvalue()))
        except (Exception, SystemExit) as error:
            pipe.send((None, _where(error), said.getvalue()))


def _listed(answer: Any) -> Any:
    """Lists of generators, which no pipe takes; all else as it is."""
    plain = answer is None or isinstance(answer, (str, bytes, Mapping)) or not isinstance(answer, Iterable)
    return answer if plain else list(answer)


def _where(error: BaseException) -> str:
    """An error with the last place that is not inside an installed package."""
    text = f"{type(error).__name__}: {error}".strip().rstrip(":")
    frames = traceback.extract_tb(error.__traceback__)
    own = [f for f in frames if f.filename != __file__ and Path(f.filename).is_file()]
    own = [f for f in own if not any(part in Path(f.filename).parts for part in _INSTALLED)] or own
    own = [f for f in own if not f.filename.startswith(sys.base_prefix + os.sep + "lib")]
    return f"{text} ({Path(own[-1].filename).name}:{own[-1].lineno})" if own else text


def named_callable(name: str) -> Any:
    """The callable of `FILE.py:FUNCTION`, `MODULE:FUNCTION` or an entry point.

    Raises
    ------
    Exception
        Whatever looking for it raised.
    """
    import pkgutil
    from importlib import util
    from importlib.metadata import entry_points

    offered = {point.name: point for point in entry_points(group=ENTRY_POINTS)}
    if name in offered:
        return offered[name].load()
    where, _, function = name.rpartition(":")
    if not where:
        raise ValueError(
            f"expected FILE.py:FUNCTION, MODULE:FUNCTION, one of the entry points {sorted(offered)}, or a command "
            "with {in} and {out}"
        )
    if not where.endswith(".py"):
        sys.path.insert(0, "")
        return pkgutil.resolve_name(name)
    if not Path(where).is_file():
        raise FileNotFoundError(f"No such file: {where}")
    sys.path.insert(0, str(Path(where).resolve().parent))
    plan = util.spec_from_file_location(Path(where).stem, where)
    module = util.module_from_spec(plan)
    sys.modules[plan.name] = module
    plan.loader.exec_module(module)
    if not hasattr(module, function):
        raise ValueError(f"{where} has no '{function}'")
    return getattr(module, function)


def _own_files(find: Any) -> list[str]:
    """Files that the callable is made of: its module, the rest of its package, and modules beside it."""
    name = getattr(find, "__module__", None) or type(find).__module__
    main = getattr(sys.modules.get(name), "__file__", None)
    if main is None:
        return []
    top, folder = name.split(".")[0], Path(main).resolve().parent
    found = {Path(main).resolve()}
    for other, module in list(sys.modules.items()):
        file = getattr(module, "__file__", None)
        if file is None or other.split(".")[0] in ("swimsim", "__main__"):
            continue
        path = Path(file).resolve()
        beside = folder in path.parents and not any(part in path.parts for part in _INSTALLED)
        if beside or other.split(".")[0] == top:
            found.add(path)
    return sorted(map(str, found))
