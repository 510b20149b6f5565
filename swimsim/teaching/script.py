"""The script of the clip of a scenario: which swimmer is shown when, how fast, and with which words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..ground.errors import InputError
from ..scenario.models import Scenario
from ..scenario.play import Played
from ..stroke.pattern import breathing_period
from ..view.look import Panel
from ..view.parts import Part, Windows, caution_part, names_of, stretches, teaching_parts
from .marks import marks_of, shown_cycle, shown_side
from .quiz import quiz_panels

LONGEST = 2  # cycles of a breathing period that is shown whole at every speed


@dataclass(frozen=True)
class Wish:
    """What is asked of a clip beside the scenario.

    Parameters
    ----------
    loop : bool
        Whole breathing periods without cards, the last picture leading into the first.
    quiz : bool
        No words, colours or numbers that tell which swimmer has the fault: the panels are called A and B.
    plain : bool
        One stretch at the first speed, whatever speeds the scenario has.
    """

    loop: bool = False
    quiz: bool = False
    plain: bool = False

    def check(self, scenario: Scenario) -> None:
        """Refuse what does not go together, before any work.

        Raises
        ------
        InputError
            A loop in real time; a quiz with one swimmer pale over the other.
        """
        out, errors = scenario.output, []
        if self.loop and not out.locked and out.layout != "single":
            errors.append("--loop: expected both swimmers at the same share of the stroke, got real time")
        if self.quiz and out.layout == "ghost":
            errors.append("--quiz: expected the layout side_by_side, stacked or single, got ghost")
        if errors:
            raise InputError("\n".join(errors))


def panels_of(played: Played, *, hide: bool = False) -> list[Panel]:
    """The two panels: (trace, marks) with the fault, and without."""
    fault, correct = marks_of(played, hide=hide)
    return [(played.fault.trace, fault), (played.correct.trace, correct)]


def clip_parts(played: Played, wish: Wish | None = None) -> tuple[Part, ...]:
    """The parts of the clip of a scenario, in order.

    The pair at each speed of the scenario, a stop at the key instant where it is slow, then the correct stroke
    alone; one plain stretch where there is one speed. In the layout `single` the swimmers come one after the
    other, in a quiz the one with the fault alone.

    Raises
    ------
    InputError
        As `Wish.check`.
    """
    wish = wish or Wish()
    wish.check(played.scenario)
    parts = _parts(played, wish)
    if wish.quiz:
        parts = [replace(part, caption="") for part in parts]
    return tuple(parts)


def _parts(played: Played, wish: Wish) -> list[Part]:
    out, panels = played.scenario.output, panels_of(played, hide=wish.quiz)
    groups = [quiz_panels(played) if wish.quiz else panels]
    if out.layout == "single":
        groups = [panels[:1]] if wish.quiz else [panels[:1], panels[1:]]
    if wish.loop:
        return [_loop(group, out.speeds[0]) for group in groups]
    if wish.plain or len(out.speeds) == 1:
        return [*(_plain(played, group) for group in groups), caution_part()]
    how = {"locked": out.locked, "speeds": out.speeds, "windows": _windows(played, panels)}
    if len(groups) == 1 and not wish.quiz:
        return list(teaching_parts(panels, layout=_layout(out), **how))
    title = [] if wish.quiz else list(teaching_parts(panels, layout=_layout(out))[:1])
    return [*title, *(part for group in groups for part in stretches(group, **how)), caution_part()]


def _layout(out) -> str:
    """The layout of a pair: two panels side by side stand one above the other in a picture taller than wide."""
    width, height = out.size
    return "stacked" if out.layout == "side_by_side" and height > width else out.layout


def _loop(panels: Sequence[Panel], slow: float) -> Part:
    return Part(tuple(panels), slow=slow, loop=True, caption=names_of(panels))


def _plain(played: Played, panels: Sequence[Panel]) -> Part:
    """One stretch from the start of the trace."""
    out = played.scenario.output
    how = {"unit": "s", "slow": out.speeds[0], "locked": out.locked, "caption": names_of(panels)}
    return Part(tuple(panels), start=0.0, length=out.seconds, **how)


def _windows(played: Played, panels: Sequence[Panel]) -> Windows:
    """The first stretch from the start; the others the breathing period that holds the key instant.

    Of a period longer than two cycles they show the one cycle of the key instant, lest a clip at a quarter of the
    speed lasts a minute. A scattered stroke repeats after all its cycles only, so breathing periods are counted
    in shares of them.
    """
    pattern = played.fault.pattern
    period, length = pattern.period_cycles, breathing_period(pattern.breathing_every)
    shown = shown_cycle(played, shown_side(played))
    later = length if length <= LONGEST else 1
    first = shown // later * later
    seconds = played.scenario.output.seconds
    many = max(1, round(seconds / (length * played.fault.motion.cycle_s)))
    keys = [marks.key_share for _, marks in panels if marks.key_share is not None]
    return Windows(
        first=(0.0, many * length / period),
        later=(first / period, later / period),
        stops=tuple(key - first % period for key in keys),
    )
