"""What a picture says beside and over the swimmer: plain records that a meeting-place room fills."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np


@dataclass(frozen=True)
class Drawn:
    """One line, arc or span to draw over the body, with its number; every point is given, none is computed.

    Parameters
    ----------
    kind : {"line", "arc", "span"}
        `line` joins the points; `arc` fills the corner at the first point between the directions to the second
        and third; `span` is a measured distance between two points, with a tick at each end.
    points_m : numpy.ndarray, shape (n_frames, n_points, 3)
        World positions in every frame of the trace; NaN where there is nothing to draw. [m]
    values : numpy.ndarray, shape (n_frames,), optional
        The number written beside it, in `unit`.
    seen : numpy.ndarray, shape (n_frames,), optional
        The same angle as this view shows it; written as "as seen" where it differs from `values`. [deg]
    unit : str
        `deg`, `cm` or `%`.
    shares : (float, float)
        Cycle shares between which it is shown, the second below the first if the span holds the entry;
        (0, 1) for always.
    tone : {"main", "guide", "target"}
        The colour of the panel, the faint one of guide lines, or that of the target band.
    signed : bool
        Whether a number of centimetres counts from a zero, so that it carries its sign.
    """

    kind: str
    points_m: np.ndarray
    values: np.ndarray | None = None
    seen: np.ndarray | None = None
    unit: str = "deg"
    shares: tuple[float, float] = (0.0, 1.0)
    tone: str = "main"
    signed: bool = True


@dataclass(frozen=True)
class Gauge:
    """Curves over the breathing period with a moving dot: how far shoulders and hips roll, say.

    Parameters
    ----------
    title : str
    curves : tuple of (str, numpy.ndarray of shape (n_frames,))
        Label and values in every frame of the trace; the first is the one the panel is about.
    unit : str
    band : (float, float), optional
        The target, in `unit`.
    period_cycles : int
        Cycles after which the curves repeat.
    lag : (float, float), optional
        Target for how much later the first curve peaks than the second; the strip then marks both peaks.
        [% of the cycle]
    balanced : bool
        Curves that go below zero have zero in the middle of the strip.
    limits : (float, float), optional
        Least and greatest value that the strip shows; without them what its own curves need. [unit]
    """

    title: str
    curves: tuple[tuple[str, np.ndarray], ...]
    unit: str = "deg"
    band: tuple[float, float] | None = None
    period_cycles: int = 1
    lag: tuple[float, float] | None = None
    balanced: bool = True
    limits: tuple[float, float] | None = None


@dataclass(frozen=True)
class Marks:
    """What a picture says beside the swimmer. A meeting-place room fills it; the drawing room only draws.

    Parameters
    ----------
    word : str
        FAULT, CORRECT or DRILL (or empty).
    title : str
        What the panel shows, in plain words.
    style : str
        `dashed` (fault), `solid` (correct) or `dotted` (drill); the second sign beside colour.
    limb : tuple of str
        Joint chain to highlight, in drawing order; empty for none.
    value, band : str
        The one number of the panel and its target band, as text.
    ticks : tuple of (str, float)
        Labels on the phase bar, with their cycle share 0..1.
    phase : numpy.ndarray, shape (n_frames,)
        Cycle share 0..1 of every frame, locked at own-hand entry.
    arrows : mapping of joint name to numpy.ndarray, shape (n_frames, 3)
        Vectors to draw at a joint, in metres of arrow length.
    drawn : tuple of Drawn
        Lines, arcs and spans over the body.
    gauge : Gauge, optional
        Curves in a strip of the panel.
    more_gauges : tuple of Gauge
        Strips below that one, over the same period.
    key_share : float, optional
        Where a clip stops: the instant at which the fault is seen best, in cycles after the entry with which the
        breathing period begins. A share 0..1 where every cycle is alike.
    cue : str
        One short line for the swimmer.
    lines : tuple of str
        Sentences under the header, in place of a number.
    kit : tuple of str
        What the swimmer wears or holds: `pull_buoy`, `short_stick`, `fists`.
    """

    word: str = ""
    title: str = ""
    style: str = "solid"
    limb: tuple[str, ...] = ()
    value: str = ""
    band: str = ""
    ticks: tuple[tuple[str, float], ...] = ()
    phase: np.ndarray | None = None
    arrows: Mapping[str, np.ndarray] = field(default_factory=dict)
    drawn: tuple[Drawn, ...] = ()
    gauge: Gauge | None = None
    more_gauges: tuple[Gauge, ...] = ()
    key_share: float | None = None
    cue: str = ""
    lines: tuple[str, ...] = ()
    kit: tuple[str, ...] = ()
