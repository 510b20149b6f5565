"""The cameras of a scenario, framed for its swimmer."""

from __future__ import annotations

import dataclasses

from ..faults.catalogue import FaultSetting, fault_of
from ..faults.linked import in_order
from ..ground.errors import InputError, nearest
from ..ground.records import Camera
from ..view.cameras import VIEWS, free_camera, named_camera
from . import models


def cameras_of(scenario: models.Scenario, *, size_px: tuple[int, int] | None = None) -> tuple[Camera, ...]:
    """One camera for each of `[output] views`, for pictures of `size_px`."""
    given = _by_name(scenario)
    size = tuple(size_px or scenario.output.size)
    return tuple(
        _camera(view, given.get(view), scenario.swimmer.stature_m, size) for view in views_of(scenario)
    )


def views_of(scenario: models.Scenario) -> list[str]:
    """The views to draw: those asked for, else the file's cameras, else the best view of the first fault."""
    if scenario.output.views is not None:
        return scenario.output.views
    if scenario.camera:
        return list(_by_name(scenario))
    if scenario.fault:
        first = in_order(scenario.fault)[0]
        return [best_view(first.fault, first.side, of=first.of)]
    return ["side_left"]


def best_view(fault: str, side: str, *, of: str | None = None) -> str:
    """The named view that shows a fault best; a side view is taken from the side of the faulty arm."""
    view = fault_of(FaultSetting(fault, of=of)).best_view
    if view in VIEWS:
        return view.replace("left", "right") if side == "right" else view
    return f"{view}_{'right' if side == 'right' else 'left'}"


def check_views(scenario: models.Scenario) -> None:
    """Refuse a view that the file gives twice, or a `camera_2` that it does not have."""
    names = [name for name, _ in _named(scenario)]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise InputError(f"camera: expected each view once, got '{twice}' {names.count(twice)} times")
    unknown = next((view for view in views_of(scenario) if view not in VIEWS and view not in names), None)
    if unknown is not None:
        hint = nearest(unknown, [*names, *VIEWS])
        raise InputError(f"output.views: expected a camera of this file, got '{unknown}'; {hint}")


def _named(scenario: models.Scenario) -> list[tuple[str, models.Camera]]:
    """Every camera with its name: the view it changes, or camera_1, camera_2, ... in file order."""
    own = [c for c in scenario.camera if c.view is None]
    return [(c.view or f"camera_{own.index(c) + 1}", c) for c in scenario.camera]


def _by_name(scenario: models.Scenario) -> dict[str, models.Camera]:
    return dict(_named(scenario))


def _camera(view: str, given: models.Camera | None, stature_m: float, size: tuple[int, int]) -> Camera:
    if given is None:
        return named_camera(view, stature_m, size_px=size)
    bending = {"refraction": given.refraction}
    if given.port_m is not None:
        bending["port_m"] = given.port_m
    if given.view is not None:
        camera = named_camera(view, stature_m, size_px=size, **bending)
    else:
        place = (given.position_m, given.aim_m)
        camera = free_camera(*place, field_deg=given.field_deg, size_px=size, name=view)
    return dataclasses.replace(camera, travels=given.travels, **bending)


def with_views(scenario: models.Scenario, views: list[str]) -> models.Scenario:
    """The same scenario drawn from other views.

    Raises
    ------
    InputError
        A view that neither the package nor the scenario has, or one given twice.
    """
    known = [*VIEWS, *_by_name(scenario)]
    for view in views:
        if view not in known:
            raise InputError(f"--view: expected a known view, got '{view}'; {nearest(view, known)}")
        if views.count(view) > 1:
            raise InputError(f"--view: expected each view once, got '{view}' {views.count(view)} times")
    output = scenario.output.model_copy(update={"views": list(views)})
    changed = scenario.model_copy(update={"output": output})
    changed._source = scenario._source
    return changed
