"""What is said of a detector: the cells of its table, how often it failed, what it printed."""

from __future__ import annotations

from collections.abc import Sequence

from .scorecard import Card


def cells_of(row: Card, own: Card | None) -> dict[str, str]:
    """The cells of a row; `yours | swimsim` where somebody else's detector was judged."""
    cells = _cells(row)
    if own is None:
        return cells
    return {
        key: f"{cell} | {mine}" for (key, cell), mine in zip(cells.items(), _cells(own).values(), strict=True)
    }


def _cells(row: Card) -> dict[str, str]:
    if (row["reason"] or "").startswith(("failed", "not judged")):
        return {"auc": row["reason"].split(":")[0], **dict.fromkeys(_CELLS[1:], "-")}
    alarms = f"{row['false_alarms']} of {row['clean_clips']}"
    values = (
        short(row["auc"]),
        short(row["auc_all"]),
        row["s50_says"] if row["s50"] is None and row["s50_says"] else short(row["s50"]),
        alarms,
        short(row["severity_mae"]),
    )
    return dict(zip(_CELLS, values, strict=True))


_CELLS = ("auc", "auc, all", "half found from", "false alarms", "severity error")


def is_left_out(row: Card) -> bool:
    """Whether a detector never spoke of a fault, or of any in this view: no row of numbers then."""
    return (row["reason"] or "").startswith("not judged")


def _left_out(card: Card) -> list[str]:
    """Faults that no finding names, and views without any answer, a sentence each."""
    never, silent = {}, {}
    for slug, ways in card["faults"].items():
        for row in (row for views in ways.values() for row in views.values() if is_left_out(row)):
            (never if "names" in row["reason"] else silent)[slug] = True
    views = [
        f"{condition} {view} (0 of {way['clips']})"
        for condition, ways in card["answered"].items()
        for view, way in ways.items()
        if not way["answered"] and not way["failed"]
    ]
    found = [f"not judged, because your detector never names them: {', '.join(never)}"] if never else []
    return found + ([f"no clip was answered in: {', '.join(views)}"] if views else [])


def failure_words(card: Card) -> str | None:
    """How many clips the detector failed in, with the first reason; None if in none."""
    ways = [way for views in card["answered"].values() for way in views.values()]
    failed, clips = (sum(way[key] for way in ways) for key in ("failed", "clips"))
    if not failed:
        return None
    return f"your detector failed in {failed} of {clips} clips: {next(iter(card['failed']))}"


def all_failed(card: Card) -> bool:
    """Whether the detector failed in every clip."""
    ways = [way for views in card["answered"].values() for way in views.values()]
    return bool(ways) and all(way["failed"] == way["clips"] for way in ways)


def words_of_detector(card: Card, said: Sequence[str], *, lines: int = 20) -> list[str]:
    """What its author should know at the end: failures, what was left out, what it printed."""
    failed = failure_words(card)
    found = [*([failed] if failed else []), *_left_out(card)]
    found += [
        f"your detector, in {count} clip{'s' * (count != 1)}: {note}" for note, count in card["notes"].items()
    ]
    printed = [line for text in said for line in text.splitlines()]
    found += [f"your detector printed: {line}" for line in printed[:lines]]
    if more := len(printed) - lines if len(printed) > lines else 0:
        found.append(f"your detector printed {more} more lines; `said` in records.jsonl has them")
    return found


def short(value: float | None) -> str:
    """A number of a table; a dash where there is none."""
    return "-" if value is None else f"{value:.2f}"
