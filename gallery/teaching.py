"""A review clip with two faults and its captions, a film strip to print, and a picture of every view."""

import argparse
from pathlib import Path

from PIL import Image, PngImagePlugin

import swimsim
from swimsim.scenario.picture import look_of
from swimsim.teaching.pictures import write_strip
from swimsim.teaching.review import review_parts
from swimsim.view.reel import write_reel

SCENARIO = "masters_short_finish"
COLOURS = 255


def smaller(path: Path) -> None:
    """The same PNG in a palette of few colours."""
    with Image.open(path) as picture:
        note = PngImagePlugin.PngInfo()
        note.add_text("Description", picture.text["Description"])
        few = picture.quantize(COLOURS, kmeans=2, dither=Image.Dither.NONE)
        few.save(path, pnginfo=note, optimize=True, dpi=picture.info.get("dpi", (96, 96)))


def main(argv: list[str] | None = None) -> None:
    """Draw all three."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "pictures")
    parser.add_argument("--width", type=int, default=640)
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    scenario = swimsim.read_scenario(SCENARIO)
    small = scenario.output.model_copy(
        update={"size": [args.width, round(args.width * 9 / 32) * 2], "views": scenario.output.views[:1]}
    )
    played = swimsim.play(scenario.model_copy(update={"output": small}))
    parts = review_parts(played)
    write_reel(args.out / "review.mp4", parts, look=look_of(played.scenario), fps=20, crf=28)
    write_strip(played, args.out / "film_strip.png")
    swimsim.draw_views(args.out / "views.png")
    for name in ("film_strip.png", "views.png"):
        smaller(args.out / name)
    cards = sum(part.card is not None for part in parts)
    print(f"{SCENARIO}: a review in {len(parts)} parts, {cards} of them cards")


if __name__ == "__main__":
    main()
