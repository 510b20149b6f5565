"""Tables, progress and notes: drawn on a terminal, plain lines elsewhere."""

from __future__ import annotations

import os
import shutil
import sys
import textwrap
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

PLAIN_WIDTH = 160  # columns where there is no terminal
NARROW = 100  # columns below which costs stand below each other
PICTURE_WIDTH = 38  # columns of a small picture
SENTENCE = 60  # letters from which an item of a list stands on a line of its own
Step = Callable[[str, int, int], None]


@contextmanager
def progress() -> Iterator[Step]:
    """A callable `step(text, done, total)`: a bar on a terminal, one line per new text elsewhere."""
    if sys.stderr.isatty():
        with _bar() as step:
            yield step
        return
    said = []

    def step(text: str, done: int = 0, total: int = 0) -> None:
        if text not in said:
            said.append(text)
            print(f"swimsim: {text}", file=sys.stderr, flush=True)

    yield step


@contextmanager
def _bar() -> Iterator[Step]:
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("", total=None)

        def step(text: str, done: int = 0, total: int = 0) -> None:
            bar.update(task, description=text, completed=done, total=total or None)

        yield step


def recovery(rows: Sequence[dict[str, Any]]) -> None:
    """The summary of a run: each main measure as set, as true, as recovered, and the error."""
    columns = ("swimmer", "measure", "side", "set", "truth", "recovered", "error", "unit", "reason")
    _table("What was set, what is true, what the blind reader recovered", columns, rows)


def measures(rows: Sequence[dict[str, Any]]) -> None:
    """What was read off a trace."""
    how = ("uncertainty",) if any("uncertainty" in row for row in rows) else ()
    columns = ("measure", "side", "breathing", "value", *how, "unit", "reason")
    _table("What the blind reader read", columns, rows)


def spreads(found: Sequence[Any]) -> None:
    """Median, quartiles and standard deviation over strokes."""
    import dataclasses

    columns = ("measure", "side", "breathing", "strokes", "median", "low", "high", "sd", "unit")
    _table(
        "Over the strokes: median, quartiles, standard deviation",
        columns,
        [dataclasses.asdict(s) for s in found],
    )


def costs(rows: Sequence[dict[str, Any]], *, title: str = "What it costs: median (90 % interval)") -> None:
    """What each fault costs, dearest first, or what each change is worth."""
    columns = tuple(dict.fromkeys(key for row in rows for key in row if key != "reason"))
    width = _width()
    if width >= NARROW:
        _table(title, (*columns, "reason"), rows)
        return
    print(title)
    for row in rows:
        first, *rest = (name for name in (*columns, "reason") if _cell(row.get(name)))
        print(f"\n{row[first]}")
        for name in rest:
            text = f"{name}: {_cell(row[name])}"
            print(textwrap.fill(text, width, initial_indent="  ", subsequent_indent="    "))


def _width() -> int:
    """Letters across the terminal; enough for every table where output goes to a file."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else PLAIN_WIDTH


def scores(rows: Sequence[dict[str, Any]], *, beside: bool = False) -> None:
    """What each detector reaches; `beside` if each cell has somebody else's and ours."""
    columns = tuple(dict.fromkeys(key for row in rows for key in row))
    said = "What each detector reaches, by condition and view"
    _table(f"{said}: yours | swimsim" if beside else said, columns, rows)


def plan(rows: Sequence[dict[str, Any]]) -> None:
    """Which faults each set-up of a camera shows."""
    named = [
        {"change": row["change"], "seen": row["seen"],
         "faults": ", ".join(slug for slug, fault in row["faults"].items() if fault["seen"])}
        for row in rows
    ]  # fmt: skip
    _table("What the camera can show", ("change", "seen", "faults"), named)


def listing(what: str, rows: Sequence[dict[str, Any]]) -> None:
    """One list, each entry with a line to type."""
    _table(what, ("name", "says", "type"), rows)


def has_colours() -> bool:
    """Whether standard output is a terminal with 256 colours or more, wide enough for small pictures."""
    from rich.console import Console

    console = Console()
    able = console.color_system in ("256", "truecolor") and console.encoding.startswith("utf")
    return sys.stdout.isatty() and able and console.width >= PICTURE_WIDTH


def pictures(rows: Sequence[dict[str, Any]], dots: dict[str, Any]) -> None:
    """Entries with a small picture each: every letter is an upper half block, so it shows two dots."""
    from rich.columns import Columns
    from rich.console import Console
    from rich.text import Text

    entries = [
        Text("\n").join([*map(_half_blocks, dots[row["name"]].tolist()), *_words_under(row)]) for row in rows
    ]
    Console(highlight=False).print(Columns(entries, padding=(1, 2)))


def _half_blocks(pair: list) -> Any:
    """One row of letters from an upper and a lower row of colours."""
    from rich.style import Style
    from rich.text import Text

    row = Text(no_wrap=True)
    for upper, lower in zip(*pair, strict=True):
        row.append("▀", Style.parse(f"rgb({','.join(map(str, upper))}) on rgb({','.join(map(str, lower))})"))
    return row


def _words_under(row: dict[str, Any]) -> list:
    from rich.text import Text

    return [Text(row["name"], "bold"), Text(row["says"]), Text(row["type"])]


def overview(rows: Sequence[dict[str, Any]]) -> None:
    """Every list."""
    _table("lists", ("name", "says", "type"), rows)


def checks(rows: Sequence[Any]) -> None:
    """What the machine can do, and the remedy for what it cannot."""
    lines = [
        {
            "check": c.name,
            "able": "yes" if c.able else "NO",
            "found": c.found,
            "remedy": "" if c.able else c.remedy,
        }
        for c in rows
    ]
    _table("Is this machine able?", ("check", "able", "found", "remedy"), lines)


def details(row: dict[str, Any]) -> None:
    """All that is known of one entry, line by line; a list of sentences has a line for each."""
    for key, value in row.items():
        lines, name = _full(value).split("\n"), key.replace("_", " ")
        if isinstance(value, (list, tuple)) and any(len(str(item)) > SENTENCE for item in value):
            lines = [f"  {_full(item)}" for item in value]
        if len(lines) > 1 or lines[0].startswith(" "):
            print(f"{name}:", *map(_wrapped, lines), sep="\n")
        elif lines[0]:
            print(_wrapped(f"{name}: {lines[0]}"))


def _wrapped(line: str) -> str:
    """A sentence, broken between words on a terminal."""
    if not sys.stdout.isatty() or len(line) < SENTENCE:
        return line
    width = shutil.get_terminal_size().columns
    indent = " " * (len(line) - len(line.lstrip()) + 2)
    return textwrap.fill(
        line, width, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )


def notes(lines: Sequence[str]) -> None:
    """Short remarks, one per line."""
    for line in lines:
        print(line)


def left(folder: Any, files: Sequence[str]) -> None:
    """Where the files are."""
    print(f"In {folder}{os.sep if str(folder) != os.sep else ''}: {', '.join(files)}")


def _table(title: str, columns: Sequence[str], rows: Sequence[dict[str, Any]]) -> None:
    from rich import box
    from rich.console import Console
    from rich.table import Table

    shown = [c for c in columns if any(_cell(row.get(c)) for row in rows)]
    table = Table(title=title, box=box.SIMPLE, title_justify="left", pad_edge=False)
    for column in shown:
        table.add_column(column, overflow="fold", justify="right" if column in _RIGHT else "left")
    for row in rows:
        table.add_row(*(_cell(row.get(column)) for column in shown))
    console = Console(width=None if sys.stdout.isatty() else PLAIN_WIDTH, highlight=False, markup=False)
    console.print(table)


_RIGHT = ("set", "truth", "recovered", "error", "value", "median", "low", "high", "sd", "uncertainty")


def _full(value: Any) -> str:
    """A value with all its digits; tables as `key = value`."""
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, dict):
        return ", ".join(f"{key} = {_full(item)}" for key, item in value.items())
    if isinstance(value, (set, frozenset)):
        value = sorted(value)
    return ", ".join(map(_full, value)) if isinstance(value, (list, tuple)) else _cell(value)


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return "" if value != value else f"{round(value, 2) + 0.0:.2f}"
    return str(value)
