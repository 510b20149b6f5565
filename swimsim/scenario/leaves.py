"""What a run leaves behind: names of the files, and the README that explains them."""

from __future__ import annotations

import fnmatch
import os
from collections.abc import Sequence
from pathlib import Path

from ..ground.conventions import CAUTION_LINE, MODEL_LINE
from ..ground.files import whole_file
from .models import Scenario

SWIMMERS = ("fault", "correct")
CLIP, STICK_CLIP, REVIEW = "side_by_side.mp4", "side_by_side_stick.mp4", "review.mp4"
STRIP, STILLS, TRUTH, MEASURES = "film_strip.png", "stills", "truth.json", "measures.csv"
SCENARIO, README = "scenario.toml", "README.txt"
DRILL, DRILL_TRACES = "drill.json", ("drill.npz", "drill.csv")
_CLIPS = (CLIP, STICK_CLIP, REVIEW)
_OURS = (
    *_CLIPS, *(clip.replace(".mp4", ".vtt") for clip in _CLIPS), STRIP, f"{STILLS}/[1-9]_*.png",
    f"{STILLS}/[1-9]_*.svg", TRUTH, MEASURES, SCENARIO, README, "seen_*.csv", DRILL, *DRILL_TRACES,
    *(f"{name}.{suffix}" for name in SWIMMERS for suffix in ("npz", "csv")),
)  # fmt: skip
_SAYS = {
    CLIP: "FAULT beside CORRECT: as swum, slowly, as swum again, and the correct stroke alone",
    STICK_CLIP: "the same clip with the swimmers drawn in sticks",
    REVIEW: "a review: what is right, then each fault with its cue and drills",
    STRIP: "the key instants, FAULT over CORRECT, on one page (A4) to print",
    STILLS: "both swimmers at each event of the stroke, as PNG and as SVG",
    "fault.npz": "joints with the fault: time_s (n,), joints_m (n, j, 3), joint_names, rate_hz, meta",
    "correct.npz": "the same without the fault",
    "fault.csv": "the same numbers as text: time_s, then x, y and z of every joint in metres",
    "correct.csv": "the same without the fault",
    TRUTH: "exact event times, measures and every set target",
    MEASURES: "each measure as set, as true, as read by the blind reader, and the error",
    SCENARIO: "the scenario with every default written out; running it again gives this folder",
}


def is_ours(name: str) -> bool:
    """Whether a run leaves a file of this name (path inside the folder, with `/`)."""
    return any(fnmatch.fnmatchcase(name, pattern) for pattern in _OURS)


def readme_text(scenario: Scenario, files: Sequence[str]) -> str:
    """What lies in the folder, in plain words."""
    rows = {name: _SAYS.get(name, "") for name in files if name != README}
    for name in rows:
        if name.endswith(".vtt"):
            rows[name] = f"captions of {name.removesuffix('.vtt')}.mp4 (WebVTT)"
        if name.startswith("seen_"):
            view = name.removeprefix("seen_").removesuffix(".csv")
            rows[name] = f"exact pixels of the swimmer with the fault, view {view} (its camera is in {TRUTH})"
    width = max(map(len, rows), default=0)
    return "\n".join(
        [
            scenario.title,
            MODEL_LINE,
            "",
            *(f"{name:<{width}}  {says}" for name, says in rows.items()),
            "",
            "x points forward, y to the swimmer's left, z up; still water is z = 0. Metres, seconds.",
            "Time 0 is the right-hand entry. Left and right are the swimmer's. Angles are in degrees.",
            "",
            CAUTION_LINE,
            "",
        ]
    )


def write_readme(scenario: Scenario, files: Sequence[str], path: str | os.PathLike) -> None:
    """Write the README of a run."""
    with whole_file(path) as part:
        part.write_text(readme_text(scenario, files), encoding="utf-8", newline="\n")


def write_last(scenario: Scenario, folder: Path) -> tuple[str, ...]:
    """Write the README of a folder last, when it is known what it has to explain; names of all files."""
    files = sorted(path.relative_to(folder).as_posix() for path in folder.iterdir())
    write_readme(scenario, files, folder / README)
    return (*files, README)
