"""The ground truth of a played scenario as files: traces, what cameras see, truth and the resolved scenario."""

from __future__ import annotations

from pathlib import Path

from ..ground.files import write_csv, write_npz, write_seen_csv
from ..ground.measure_files import write_json
from . import leaves
from .cameras import cameras_of
from .play import Played
from .read import write_scenario
from .truth_file import truth_record


def write_truth_files(played: Played, folder: Path, *, version: str) -> None:
    """Write both traces (NPZ, CSV), exact pixels per camera, `truth.json` and the scenario, every default in it."""
    from ..view.cameras import seen

    for name in leaves.SWIMMERS:
        trace = getattr(played, name).trace
        write_npz(trace, folder / f"{name}.npz")
        write_csv(trace, folder / f"{name}.csv")
    cameras = cameras_of(played.scenario)
    for camera in cameras:
        write_seen_csv(seen(played.fault.trace, camera), folder / f"seen_{camera.name}.csv")
    write_json(truth_record(played, version=version, cameras=cameras), folder / leaves.TRUTH)
    write_scenario(played.scenario, folder / leaves.SCENARIO)
