"""`truth.json`: what is exactly true about both swimmers. Its schema is `shared/truth.schema.json`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ..faults.catalogue import FaultSetting, fault_of
from ..ground.measure_files import event_record, measure_record, number
from ..ground.records import Camera
from ..ground.tables import read_toml
from ..stroke.pattern import StrokePattern
from .play import Played, Swum
from .severity import size_of

FORMAT, VERSION = "swimsim.truth", 1


def truth_record(played: Played, *, version: str, cameras: Sequence[Camera] = ()) -> dict[str, Any]:
    """The content of `truth.json`: SI units, angles in degrees, null with a reason and never NaN.

    Parameters
    ----------
    played : Played
    version : str
        Version of the package.
    cameras : sequence of Camera
        Those of the `seen_<view>.csv` files.
    """
    return {
        "format": FORMAT,
        "version": VERSION,
        "swimsim": version,
        "seed": played.scenario.seed,
        "axes": read_toml("definitions")["conventions"]["axes"],
        "swimmers": {
            "fault": _swimmer(played.fault, "fault.npz", played.correct.pattern),
            "correct": _swimmer(played.correct, "correct.npz", played.correct.pattern),
        },
        "cameras": [_camera(camera) for camera in cameras],
    }


def _swimmer(swum: Swum, trace: str, clean: StrokePattern) -> dict[str, Any]:
    pattern, body = swum.pattern, swum.body
    return {
        "trace": trace,
        "rate_hz": swum.trace.rate_hz,
        "duration_s": float(swum.trace.time_s[-1]),
        "cycle_s": swum.motion.cycle_s,
        "period_cycles": pattern.period_cycles,
        "speed_m_s": pattern.speed_m_s,
        "speed_from": swum.speed_from,
        "stroke_rate_per_min": pattern.stroke_rate_hz * 60,
        "stroke_length_m": pattern.stroke_length_m,
        "body": {
            "stature_m": body.stature_m,
            "mass_kg": body.mass_kg,
            "sex": body.sex,
            "table": body.table,
        },
        "faults": [_fault(setting, swum, clean) for setting in swum.faults],
        "events": [event_record(event) for event in swum.truth.events],
        "measures": [_in_si(measure_record(measure)) for measure in swum.truth.measures],
        "pattern": {name: _plain(value) for name, value in swum.truth.pattern.items()},
    }


def _fault(setting: FaultSetting, swum: Swum, clean: StrokePattern) -> dict[str, Any]:
    size = size_of(setting, swum.truth, clean=clean, body=swum.body)
    record = {
        "fault": setting.fault,
        **({"of": setting.of or fault_of(setting).pairs[0]} if fault_of(setting).pairs else {}),
        "side": setting.side,
        "strokes": setting.strokes,
        "severity": size.severity,
        "severity_effective": number(size.severity_effective),
        "main_measure": size.main_measure,
        "value": number(size.value),
        "unit": size.unit,
    }
    return _in_si(record)


def _in_si(record: dict[str, Any]) -> dict[str, Any]:
    """Lengths in metres: elsewhere tables show centimetres, this file is SI with angles in degrees."""
    if record["unit"] != "cm":
        return record
    value = record["value"]
    return {**record, "value": None if value is None else value / 100.0, "unit": "m"}


def _camera(camera: Camera) -> dict[str, Any]:
    return {
        "name": camera.name,
        "position_m": camera.position_m.tolist(),
        "rotation": camera.rotation.tolist(),
        "focal_px": list(camera.focal_px),
        "centre_px": list(camera.centre_px),
        "size_px": list(camera.size_px),
        "distortion": list(camera.distortion),
        "travels": camera.travels,
        "refraction": camera.refraction,
        "port_m": camera.port_m if camera.refraction == "flat_port" else None,
        "seen": f"seen_{camera.name}.csv",
    }


def _plain(value: Any) -> Any:
    return number(value) if isinstance(value, float) else value
