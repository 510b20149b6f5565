"""A general pose estimator as a judge from outside: does it take our swimmer for a person, and where are its points?

Not a test: it never decides, nothing is tuned to it, and pytest does not collect it. It needs an environment
of its own (about 1 GB; Python 3.9 to 3.12), because this estimator wants numpy below 2 and brings its own OpenCV:

    python3 -m venv pose-env
    pose-env/bin/pip install "mediapipe==0.10.21" "numpy<2" scipy matplotlib imageio imageio-ffmpeg pydantic typer rich
    pose-env/bin/pip install --no-deps -e .
    pose-env/bin/python tests/pose_estimator.py --out pose

Frames of the swimmer are drawn without any mark and handed to the estimator (model_complexity=1, the one that
the package carries, so it works offline) as they are and turned so that the head is up, one by one and as a
film. A table says for each case in what share of frames a person is found, how far its points lie from our
true pixels (median over the frames with a person, as a share of body height), in what share of those frames it
is found in the right place (half of the twelve main joints nearer than a tenth of body height), and in what share left
and right are swapped (the sum over the paired joints is less with the sides exchanged).

Source of the method: Lugaresi et al. 2019, arXiv:1906.08172; Bazarevsky et al. 2020, arXiv:2006.10204.
"""

from __future__ import annotations

import argparse
import csv
import itertools
import os
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from swimsim import play, read_scenario
from swimsim.ground.records import Marks, Trace
from swimsim.view.cameras import VIEWS, mean_speed, stature_of
from swimsim.view.figure import Shot, pixels_per_metre
from swimsim.view.sampling import positions_at
from swimsim.view.scene import Look, Scene

PRESETS = ("sprint_man", "sprint_woman", "pace400_man", "pace400_woman", "masters_man", "masters_woman")
NEAR = 0.10  # a joint nearer than this share of body height is in the right place
#: Landmark number of the estimator for each joint of ours.
LANDMARKS = {
    "nose": 0, "left_ear": 7, "right_ear": 8, "left_shoulder": 11, "right_shoulder": 12, "left_elbow": 13,
    "right_elbow": 14, "left_wrist": 15, "right_wrist": 16, "left_hip": 23, "right_hip": 24, "left_knee": 25,
    "right_knee": 26, "left_ankle": 27, "right_ankle": 28, "left_toe": 31, "right_toe": 32,
}  # fmt: skip
JOINTS = tuple(LANDMARKS)
MAIN = [
    i
    for i, n in enumerate(JOINTS)
    if n.split("_")[-1] in ("shoulder", "elbow", "wrist", "hip", "knee", "ankle")
]
SWAPPED = [JOINTS.index({"left": "right", "right": "left"}.get(n[: n.find("_")], "") + n[n.find("_") :])
           if "_" in n else i for i, n in enumerate(JOINTS)]  # fmt: skip


@dataclass(frozen=True)
class Film:
    """Pictures of one view, the true pixels (n, j, 2) of JOINTS, and the body height in pixels."""

    pictures: list[np.ndarray]
    pixels: np.ndarray
    height_px: float


def film(trace: Trace, view: str, *, frames: int, cycle_s: float, look: dict) -> Film:
    """Draw one cycle without marks; the large view alone is kept."""
    times = cycle_s * (0.3 + np.arange(frames) / frames)
    options = Look(views=(view,), layout="single", trail=False, **look)
    scene = Scene([(trace, Marks())], [times], look=options)
    panel = scene.panels[0]
    camera, box = panel.cameras[0], panel.boxes.views[0]
    pictures = [box.cut(frame).copy() for frame in scene.frames()]
    shift = mean_speed(trace) * times if camera.travels else 0 * times
    shot = Shot(camera, positions_at(trace, times), trace.joint_names, shift)
    return Film(pictures, shot.joints(JOINTS), pixels_per_metre(camera) * stature_of(trace))


def quarter_turns(pixels: np.ndarray) -> int:
    """Quarter turns against the clock that put the head above the hips, from the mean true pixels."""
    middle = pixels.mean(0)
    hips = (middle[JOINTS.index("left_hip")] + middle[JOINTS.index("right_hip")]) / 2
    along = middle[JOINTS.index("nose")] - hips
    return int(np.round(np.arctan2(along[0], -along[1]) / (np.pi / 2))) % 4


def turned(drawn: Film, quarters: int) -> Film:
    """The film turned against the clock by quarter turns."""
    pixels, (high, wide) = drawn.pixels, drawn.pictures[0].shape[:2]
    for _ in range(quarters):
        pixels = np.stack([pixels[..., 1], wide - 1 - pixels[..., 0]], -1)
        high, wide = wide, high
    pictures = [np.ascontiguousarray(np.rot90(p, quarters)) for p in drawn.pictures]
    return Film(pictures, pixels, drawn.height_px)


def estimate(drawn: Film, *, still: bool) -> np.ndarray:
    """The estimator's points, shape (n, j, 2); NaN in frames without a person. [px]"""
    import mediapipe as mp

    found = np.full(drawn.pixels.shape, np.nan)
    with mp.solutions.pose.Pose(static_image_mode=still, model_complexity=1) as pose:
        for i, picture in enumerate(drawn.pictures):
            marks = pose.process(picture).pose_landmarks
            if marks:
                size = picture.shape[1::-1]
                points = [(marks.landmark[k].x, marks.landmark[k].y) for k in LANDMARKS.values()]
                found[i] = np.array(points) * size - 0.5
    return found


def judged(drawn: Film, found: np.ndarray) -> dict[str, float]:
    """Shares of frames and median distances, as the module says."""
    there = np.isfinite(found[:, 0, 0])
    table = {"found": there.mean(), "placed": np.nan, "swapped": np.nan, "median": np.nan}
    table |= dict.fromkeys(JOINTS, np.nan)
    if not there.any():
        return table | {"placed": 0.0}
    away = np.linalg.norm(found - drawn.pixels, axis=-1)[there] / drawn.height_px
    crossed = np.linalg.norm(found[:, SWAPPED] - drawn.pixels, axis=-1)[there] / drawn.height_px
    swapped = crossed[:, MAIN].sum(1) < away[:, MAIN].sum(1)
    near = np.where(swapped[:, None], crossed, away)
    placed = np.median(near[:, MAIN], axis=1) < NEAR
    table |= {
        "placed": placed.sum() / len(there),
        "swapped": swapped.mean(),
        "median": np.median(near[:, MAIN]),
    }
    return table | dict(zip(JOINTS, np.median(near, axis=0), strict=True))


def looks(style: str, kind: str) -> list[tuple[str, dict]]:
    """Named drawing styles: the one asked for, or every skin with every build."""
    if style == "stick":
        return [("stick", {} if "style" not in Look.__dataclass_fields__ else {"style": "stick"})]
    from swimsim.view.person import BUILDS, SKINS, Person

    people = [(s, b) for s, b in itertools.product(SKINS, BUILDS)] if kind == "people" else [(None, None)]
    named = []
    for skin, build in people:
        person = Person() if skin is None else Person(skin=skin, build=build)
        named.append((f"{person.skin} {person.build}", {"style": "solid", "person": person}))
    return named


def cases(args: argparse.Namespace):
    """Preset, look and view of every case asked for."""
    for preset in args.presets:
        man = {"stroke": {"preset": preset}, "swimmer": {"sex": preset.split("_")[1]}}
        swum = play(read_scenario(man)).correct
        for (name, look), theme, view in itertools.product(
            looks(args.style, args.kind), args.themes, args.views
        ):
            drawn = film(
                swum.trace,
                view,
                frames=args.frames,
                cycle_s=swum.motion.cycle_s,
                look=look | {"theme": theme, "size": tuple(args.size)},
            )
            yield (preset, name, theme, view), drawn


def main(argv: list[str] | None = None) -> None:
    """Judge every case and write `pose_estimator.csv`; with --pictures also the points drawn on the frames."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--presets", nargs="+", default=list(PRESETS))
    parser.add_argument("--views", nargs="+", default=list(VIEWS))
    parser.add_argument("--themes", nargs="+", default=["light"])
    parser.add_argument("--style", choices=("solid", "stick"), default="solid")
    parser.add_argument(
        "--kind", choices=("one", "people"), default="one", help="people: every skin and build"
    )
    parser.add_argument("--frames", type=int, default=24)
    parser.add_argument("--size", type=int, nargs=2, default=(1280, 720), help="width and height of a frame")
    parser.add_argument("--out", type=Path, default=Path("pose"))
    parser.add_argument("--pictures", action="store_true")
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    rows = []
    for names, drawn in cases(args):
        for turn, still in itertools.product(sorted({0, quarter_turns(drawn.pixels)}), (True, False)):
            view = turned(drawn, turn)
            found = estimate(view, still=still)
            way = ("as filmed" if turn == 0 else "head up", "one by one" if still else "film")
            row = dict(zip(("preset", "look", "theme", "view", "way", "mode"), names + way, strict=True))
            row |= judged(view, found)
            rows.append(row)
            say(row)
            if args.pictures and still:
                draw_points(args.out / f"{'-'.join(names + way[:1]).replace(' ', '_')}.png", view, found)
    with open(args.out / "pose_estimator.csv", "w", newline="") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows({k: f"{v:.3f}" if isinstance(v, float) else v for k, v in r.items()} for r in rows)
    total(rows)


def say(row: dict) -> None:
    """One line of the table."""
    words = "  ".join(f"{row[k]:13}" for k in ("preset", "look", "theme", "view", "way", "mode"))
    print(words + f" found {row['found']:.2f} placed {row['placed']:.2f} "
          f"median {row['median']:.3f} swapped {row['swapped']:.2f}", flush=True)  # fmt: skip


def total(rows: list[dict]) -> None:
    """Means over the cases, by what is varied."""
    for key in ("way", "mode", "view", "look", "theme", "preset"):
        print()
        for value in dict.fromkeys(r[key] for r in rows):
            some = [r for r in rows if r[key] == value]
            mean = [np.mean([r[k] for r in some]) for k in ("found", "placed")]
            print(f"{key:7} {value:14} found {mean[0]:.2f} placed {mean[1]:.2f}  ({len(some)} cases)")


def draw_points(path: Path, drawn: Film, found: np.ndarray) -> None:
    """Four frames side by side: true points as rings, found ones as crosses."""
    import cv2

    pick = np.linspace(0, len(drawn.pictures) - 1, 4).round().astype(int)
    tiles = []
    for i in pick:
        tile = drawn.pictures[i][..., ::-1].copy()
        for true, point in zip(drawn.pixels[i], found[i], strict=True):
            cv2.circle(tile, tuple(int(v) for v in true), 6, (0, 160, 0), 2)
            if np.isfinite(point).all():
                cv2.drawMarker(
                    tile, tuple(int(v) for v in point), (0, 0, 255), cv2.MARKER_TILTED_CROSS, 12, 2
                )
        tiles.append(cv2.resize(tile, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA))
    cv2.imwrite(os.fspath(path), np.hstack(tiles))


if __name__ == "__main__":
    main()
