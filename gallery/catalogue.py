"""The page of all faults and drills, `gallery/catalogue.md`, made from the catalogue so that it is never out of date.

`--draw` first draws every contact sheet and clip of the gallery's faults, drills, presets and built-in swimmer.
"""

import argparse
import runpy
import sys
import time
from pathlib import Path

import swimsim
from swimsim.ground.conventions import CAUTION_LINE, MODEL_LINE
from swimsim.ground.errors import InputError, MachineError
from swimsim.stroke.drill import drill_named

FOLDER = Path(__file__).parent
HEAD = f"""# All faults and drills

{MODEL_LINE} Made by `gallery/catalogue.py` from the catalogue; do not edit by hand.
Every entry: what to see, the two commands that made its pictures, a small clip, a contact sheet of twelve
instants from four views (click for full size). Back to the [gallery](README.md).

{CAUTION_LINE}
"""
OF_FAULTS = """
## Faults

Left panel with the fault at severity 0.7, right panel the same swimmer without it, slowed down, in the view that
shows it best. `python gallery/sheets.py NAME --severity 0.35` draws another size.
"""
OF_DRILLS = """
## Drills

One period of each drill as swum. A drill is an exercise: none of its numbers is a reference for the stroke.
Take only those a coach has chosen for you.
"""


def entries() -> dict[str, list[dict]]:
    """Name, title, words and view of every fault and drill, in the order of the catalogue."""
    shipped = {row["name"]: row["says"] for row in swimsim.listing("scenarios")}
    faults = []
    for row in swimsim.listing("faults"):
        known, name = swimsim.details("faults", row["name"]), row["name"]
        words = shipped.get(name, known["says"])
        faults.append({"name": name, "title": known["terms"][0], "says": words, "view": known["best_view"]})
    drills = [vars(drill_named(name)) for name in swimsim.drill_names()]
    drills = [
        {key: drill[key] for key in ("name", "title", "says")} | {"view": drill["views"][0]}
        for drill in drills
    ]
    return {"faults": faults, "drills": drills}


def pictures_of(name: str) -> tuple[str, str]:
    """File names of the clip and of the contact sheet."""
    return f"{name}.gif", f"sheet_{name}.png"


def page(pictures: Path = FOLDER / "pictures") -> str:
    """The text of the page; a picture that is not there is not linked."""
    known = entries()
    parts = [HEAD, OF_FAULTS, *(entry(row, pictures) for row in known["faults"])]
    parts += [OF_DRILLS, *(entry(row, pictures) for row in known["drills"])]
    return "".join(parts)


def entry(row: dict, pictures: Path) -> str:
    """One fault or drill."""
    name, title = row["name"], f"{row['title'][:1].upper()}{row['title'][1:]}"
    clip, sheet = pictures_of(name)
    view, says = row["view"].replace("_", " "), row["says"].rstrip(".")
    shown = [
        (clip, f"![{title}, moving](pictures/{clip})"),
        (sheet, f'[<img src="pictures/{sheet}" width="480" alt="{title}, contact sheet">](pictures/{sheet})'),
    ]
    there = [line for file, line in shown if (pictures / file).is_file()]
    if len(there) < len(shown):
        there.append("Not all drawn yet.")
    commands = f"python gallery/one_fault.py {name}\npython gallery/sheets.py {name}"
    return (
        f"\n### {title}\n\n{says[:1].upper()}{says[1:]}. View: {view}.\n\n```sh\n{commands}\n```\n"
        + "\n".join(there)
        + "\n"
    )


def draw(folder: Path) -> list[str]:
    """Draw everything; what could not be drawn, each with the reason."""
    failed = []
    for script, drawn in (("one_fault.py", ["open_water"]), ("sheets.py", [])):
        room = runpy.run_path(str(FOLDER / script))
        for name in [*drawn, *room["FAULTS"], *room["DRILLS"], *room["PRESETS"]]:
            try:
                room["main"]([name, "--out", str(folder)])
            except (InputError, MachineError, KeyError) as error:
                failed.append(f"{script} {name}: {error!r}")
    return failed


def main(argv: list[str] | None = None) -> None:
    """Write the page, after drawing if asked to; ends with 1 if something could not be drawn."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--draw", action="store_true", help="draw all pictures first (about two minutes)")
    parser.add_argument("--page", type=Path, default=FOLDER / "catalogue.md")
    args = parser.parse_args(argv)
    began, pictures = time.monotonic(), FOLDER / "pictures"
    failed = draw(pictures) if args.draw else []
    args.page.write_text(page(), encoding="utf-8")
    known = entries()
    for kind, rows in known.items():
        missing = [
            row["name"] for row in rows if not all((pictures / p).is_file() for p in pictures_of(row["name"]))
        ]
        print(
            f"{kind}: {len(rows) - len(missing)} of {len(rows)} drawn",
            *(["; not", *missing] if missing else []),
        )
    if args.draw:
        print(f"drawn in {time.monotonic() - began:.0f} s", *failed, sep="\n")
    if failed:
        sys.exit(1)


if __name__ == "__main__":
    main()
