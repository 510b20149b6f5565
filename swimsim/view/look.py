"""How pictures look: views, layout, theme, size, and which figure is drawn in them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from swimsim.ground.errors import InputError, nearest
from swimsim.ground.records import Camera, Marks, Trace

from .colours import Theme
from .figure import Figure
from .person import Person

STYLES = ("solid", "stick")
SPEEDS = (1.0, 0.5, 0.25, 1.0)  # of a clip: as swum first, slow for looking, as swum again
Panel = tuple[Trace, Marks]


@dataclass(frozen=True)
class Look:
    """How a picture is laid out and drawn.

    Parameters
    ----------
    views : tuple of str or Camera
        Named views or free cameras; the first is shown large.
    layout : str
        `side_by_side` (one above the other in a picture taller than wide), `stacked`, `single` or `ghost`
        (the first swimmer over a pale second one).
    theme : str or Theme
        `light` or `dark`, or colours of one's own.
    size : (int, int)
        Width and height. [px]
    trail : bool
        Draw the fading path of the hand in the large view.
    zoom : int
        Enlargement of everything drawn, for checks of drawing quality: 1, 2, 4 or 8.
    style : {"solid", "stick"}
        A shaded body, or lines.
    person : Person
        How the solid body is dressed and built.
    splash : bool
        Draw splash and bubbles where hands enter.
    mirror : bool
        Show left and right exchanged, as in a mirror; words stay readable.
    figure : callable, optional
        Makes a drawing style of one's own from a trace; it wins over `style`.
    """

    views: tuple[str | Camera, ...] = ("side_left",)
    layout: str = "side_by_side"
    theme: str | Theme = "light"
    size: tuple[int, int] = (1280, 720)
    trail: bool = True
    zoom: int = 1
    style: str = "solid"
    person: Person = field(default_factory=Person)
    splash: bool = False
    mirror: bool = False
    figure: Callable[[Trace], Figure] | None = None


def figure_for(look: Look, trace: Trace) -> Figure:
    """The figure that a look asks for.

    Raises
    ------
    InputError
        Unknown style.
    """
    if look.figure is not None:
        return look.figure(trace)
    if look.style == "solid":
        from .solid import SolidFigure

        return SolidFigure(trace, look.person)
    if look.style == "stick":
        from .stick import StickFigure

        return StickFigure(trace)
    raise InputError(f"style: expected a known style, got '{look.style}'; {nearest(look.style, STYLES)}")
