"""What a panel says beside the swimmer, from the exact truth: word, title, limb, number, target, phase."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ..faults.asymmetry import larger_side
from ..faults.catalogue import Fault, FaultSetting, fault_of, passing_value
from ..ground.conventions import JOINTS
from ..ground.records import Camera, Marks
from ..ground.tables import read_toml
from ..ground.words import Number, fault_words
from ..scenario.cameras import cameras_of
from ..scenario.play import Played, Swum
from ..scenario.severity import main_measure, main_value
from ..view.gauge_curves import one_scale
from .cues import in_order
from .force_marks import with_forces
from .keys import Key
from .numbers import at_key, is_inside, value_at
from .overlays import drawn_for, gauge_for, seen_like
from .seen_angles import with_seen

_TICKS = {"entry": "entry", "start_backward": "pull", "shoulder_plane": "push", "exit": "exit"}
_HALF_UP = 1e-6  # a half that was solved to 1e-9 rounds the same way on every machine
_UNITS = {"deg": "°", "%": " %", "1": ""}


def marks_of(played: Played, *, hide: bool = False) -> tuple[Marks, Marks]:
    """Marks of the two panels of a run: the swimmer with the faults, and without.

    With no fault set both panels say CORRECT. With `hide` they tell nothing (see `plain_marks`).
    """
    fault, correct = marks_of_fault(played, in_order(played.fault.faults))
    return (plain_marks(fault), plain_marks(correct)) if hide else (fault, correct)


def marks_of_fault(played: Played, settings: Sequence[FaultSetting]) -> tuple[Marks, Marks]:
    """Marks of the two panels about some of the faults: limb, number and lines of the first of them alone."""
    side, camera = shown_side(played, settings), cameras_of(played.scenario)[0]
    cycle = shown_cycle(played, side, settings)
    word = "FAULT" if settings else "CORRECT"
    both = ((played.fault, word), (played.correct, "CORRECT"))
    marks = [
        marks_for(swum, settings, word=word, side=side, cycle=cycle, camera=camera) for swum, word in both
    ]
    if played.scenario.output.forces:
        marks = [with_forces(m, swum, side=side) for m, (swum, _) in zip(marks, both, strict=True)]
    return tuple(one_scale(marks))


def marks_for(
    swum: Swum, settings: Sequence[FaultSetting], *, word: str, side: str, cycle: int = 1,
    camera: Camera | None = None,
) -> Marks:  # fmt: skip
    """Marks of one panel.

    Parameters
    ----------
    swum : Swum
    settings : sequence of FaultSetting
        The faults that the pair of panels is about; the first gives limb, number, lines and cue.
    word : {"FAULT", "CORRECT"}
    side : {"left", "right"}
        The arm whose cycle the phase bar counts.
    cycle : int
        The cycle of that arm whose key instant counts.
    camera : Camera, optional
        The view for which angles are also given as seen.
    """
    ticks, phase = ticks_of(swum, side), phase_of(swum, side)
    style = "dashed" if word == "FAULT" else "solid"
    if not settings:
        return Marks(word, "no fault set", style, ticks=ticks, phase=phase)
    main = settings[0]
    title = (
        _title(settings) if word == "FAULT" else f"the same without {'it' if len(settings) == 1 else 'them'}"
    )
    value = _whole_value(swum, main)
    band = _target(swum, main)
    if word == "FAULT" and value is not None and is_inside(value, band):
        band = f"inside the {band}"
    marks = Marks(
        word, title, style, _limb(fault_of(main), side), _value(main, value), band,
        ticks=ticks, phase=phase, cue=fault_words(main.fault).cue,
    )  # fmt: skip
    if not marks.value:
        return marks  # a planar swimmer has no sideways direction to draw in
    key = Key.of(swum, seen_like(main), side=side, cycle=cycle)
    truth = value_at(
        swum.truth, drawn_measure(main), side=side, cycle=cycle, period=swum.pattern.period_cycles
    )
    drawn = tuple(
        at_key(d, swum.trace.time_s, phase, key=(key.time_s, key.share, truth))
        for d in drawn_for(swum, main, side=side, key=key.share)
    )
    if camera is not None:
        drawn = tuple(with_seen(d, swum.trace, camera) for d in drawn)
    gauge = gauge_for(swum, main, side=side)
    return replace(marks, drawn=drawn, gauge=gauge, key_share=key.in_period(swum.pattern.period_cycles))


def drawn_measure(setting: FaultSetting) -> str:
    """The measure of what is drawn: the main one, or for a left-right difference that of one side."""
    main = main_measure(setting)
    return read_toml("definitions")["measure"][main].get("pair", main)


def plain_marks(marks: Marks) -> Marks:
    """Marks that tell nothing: no word, title, number, limb, line, colour or tick; only the phase stays.

    Ticks go too: an early exit would show in the place of its tick.
    """
    return Marks(style="solid", phase=marks.phase)


def shown_side(played: Played, settings: Sequence[FaultSetting] | None = None) -> str:
    """The arm that the pictures follow: the fault's own side, else the one nearest the first camera."""
    settings = in_order(played.fault.faults) if settings is None else settings
    if settings and settings[0].side != "both":
        return settings[0].side
    if settings and fault_of(settings[0]).pairs:
        return larger_side(played.correct.pattern, settings[0])
    breathing = played.fault.pattern
    if settings and _on_the_breath(settings[0]) and breathing.breathing_every in (2, 4, 6):
        return breathing.breathing_side
    return "right" if played.scenario.output.views[0] == "side_right" else "left"


def shown_cycle(played: Played, side: str, settings: Sequence[FaultSetting] | None = None) -> int:
    """Cycle 1 of an arm, or the next one with a breath if the fault is one of breathing strokes."""
    settings = in_order(played.fault.faults) if settings is None else settings
    pattern = played.fault.pattern
    cycles = range(1, 1 + pattern.period_cycles)
    if settings and _on_the_breath(settings[0]) and pattern.breathing_every:
        return next(cycle for cycle in cycles if pattern.breathes(side, cycle))
    return 1


def _on_the_breath(setting: FaultSetting) -> bool:
    """Whether a fault shows where a breath is taken, if one is."""
    row = fault_of(setting).row
    return setting.strokes == "breathing" or row.get("once", False) or row.get("needs") == "breath"


def phase_of(swum: Swum, side: str) -> np.ndarray:
    """Share 0..1 of this arm's own cycle at every frame of the trace, from its true entries."""
    entries = [(e.time_s, e.cycle) for e in swum.truth.events if e.event == "entry" and e.side == side]
    time, cycle = np.array(entries, float).T
    one = swum.motion.cycle_s
    time = np.concatenate([[time[0] - one], time, [time[-1] + one]])
    cycle = np.concatenate([[cycle[0] - 1], cycle, [cycle[-1] + 1]])
    return np.interp(swum.trace.time_s, time, cycle) % 1.0


def ticks_of(swum: Swum, side: str) -> tuple[tuple[str, float], ...]:
    """Where the phases of this arm begin, as shares of its own cycle, in its first whole cycle."""
    times = {(e.event, e.cycle): e.time_s for e in swum.truth.events if e.side == side}
    start, end = times["entry", 0], times["entry", 1]
    return tuple((label, (times[event, 0] - start) / (end - start)) for event, label in _TICKS.items())


def _title(settings: Sequence[FaultSetting]) -> str:
    return " + ".join(_fault_words(s) for s in settings)


def _fault_words(setting: FaultSetting) -> str:
    side = "" if setting.side == "both" else f", {setting.side}"
    fault = fault_of(setting)
    pair = (setting.of or fault.pairs[0]).replace("_", " ") if fault.pairs else ""
    what = f"uneven {pair}" if pair else fault.terms[0]
    return what + side + (" on the breath" if setting.strokes == "breathing" else "")


def _whole_value(swum: Swum, setting: FaultSetting) -> int | None:
    """The main measure of this swimmer in whole degrees, centimetres or percent; None where it has none."""
    value = main_value(setting, swum.truth, main_measure(setting))
    value = abs(value) if fault_of(setting).pairs else value
    return _whole(value) if np.isfinite(value) else None


def _value(setting: FaultSetting, whole: int | None) -> str:
    """The main measure in words: the exact model value, in whole numbers."""
    if whole is None:
        return ""
    fault = fault_of(setting)
    sign = "+" if fault.unit == "cm" and whole > 0 and not fault.row.get("unsigned") else ""
    return f"{_words(setting).number}: {sign}{whole}{_UNITS.get(fault.unit, f' {fault.unit}')}"


def _target(swum: Swum, setting: FaultSetting) -> str:
    """The pass mark, counted from the same zero as the number, for the pace at which it is swum."""
    midline = -50 * swum.body.shoulder_width_m  # a hand line counts from the hand's own shoulder line [cm]
    pace = passing_value(fault_of(setting), swum.pattern.stroke_rate_hz)
    by_pace = "" if math.isnan(pace) else _whole(pace)
    return _words(setting).target.format(midline=_whole(midline), pace=by_pace)


def _whole(value: float) -> int:
    return math.floor(value + 0.5 + _HALF_UP)


def _words(setting: FaultSetting) -> Number:
    return fault_words(setting.fault).shown(setting.strokes)


def _limb(fault: Fault, side: str) -> tuple[str, ...]:
    """Joint chain to light up; limbs without a side are those of the shown arm."""
    return tuple(name if name in JOINTS else f"{side}_{name}" for name in fault.limb)
