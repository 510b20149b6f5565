"""How a scenario is drawn: what it leaves open filled in (build, playback speeds, flat port), and its look."""

from __future__ import annotations

from ..ground.records import Camera
from ..swimmer.anthropometry import Body
from ..view.look import SPEEDS, Look
from ..view.person import Person
from . import models
from .cameras import cameras_of

STURDY_FROM = 25.0  # mass over stature squared (practice) [kg/m2]
CUT_OF = {"woman": "one_piece", "man": "shorts"}


def build_of(body: Body) -> str:
    """The build that goes with a body: `sturdy` from 25 kg/m2, else `lean`."""
    return "sturdy" if body.mass_kg / body.stature_m**2 >= STURDY_FROM else "lean"


def speeds_of(output: models.Output) -> list[float]:
    """Playback speeds of a clip: those given, else `slow` alone where a plain clip is asked for, else the usual."""
    if output.speeds is not None:
        return list(output.speeds)
    plain = {"seconds", "slow"} & output.model_fields_set
    return [output.slow] if plain else list(SPEEDS)


def figure_of(scenario: models.Scenario, body: Body) -> models.Figure:
    """The figure with its build and the cut of its suit filled in."""
    figure = scenario.figure
    full = {"build": figure.build or build_of(body), "cut": figure.cut or CUT_OF[scenario.swimmer.sex]}
    return figure.model_copy(update=full)


def output_of(output: models.Output, *, views: list[str], seconds: float) -> models.Output:
    """The output with views, length and speeds filled in."""
    speeds = speeds_of(output)
    slow = speeds[0] if len(speeds) == 1 else 1.0
    return output.model_copy(update={"views": views, "seconds": seconds, "speeds": speeds, "slow": slow})


def camera_of(camera: models.Camera) -> models.Camera:
    """A camera with the place of its flat port filled in, if it has one."""
    if camera.refraction != "flat_port" or camera.port_m is not None:
        return camera
    return camera.model_copy(update={"port_m": Camera.__dataclass_fields__["port_m"].default})


def person_of(scenario: models.Scenario) -> Person:
    """The person to draw."""
    words = scenario.figure.model_dump(include=set(Person.__dataclass_fields__))
    return Person(**words)


def look_of(scenario: models.Scenario, *, style: str | None = None) -> Look:
    """Views, layout, colours, size and figure of the pictures of a scenario.

    Parameters
    ----------
    style : {"solid", "stick"}, optional
        Instead of that of the scenario.
    """
    out = scenario.output
    return Look(
        views=tuple(cameras_of(scenario)),
        layout=out.layout,
        theme=out.theme,
        size=tuple(out.size),
        style=style or scenario.figure.style,
        person=person_of(scenario),
        splash=scenario.figure.splash,
        mirror=out.mirror,
    )
