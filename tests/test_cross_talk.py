"""INVARIANT: a fault moves what it owns, by as much as its severity says, and leaves the rest alone.

Decided bounds for all that a fault does not own: 0.5 degree, 5 mm, 0.2 % of the cycle; rate and speed stay.
Run with -s to see the table of faults and measures.
"""

import itertools
import re

import pytest
from made_swimmers import made
from test_faults import DOOR, GROSS, gross_of, main_values, swimmer
from tolerances import ALGEBRA

from swimsim.faults.catalogue import FaultSetting, faults
from swimsim.ground.errors import UnreachableError
from swimsim.motion.human import problems
from swimsim.stroke.presets import PRESETS
from swimsim.validation.cross_talk import cross_talk, cross_talk_text

ALL = sorted(faults())
SEVERITIES = (0.35, 0.7, 1.0)
OUTSIDE = {
    "deg": 0.5,
    "cm": 0.5,
    "%": 0.2,
    "m": 0.005,
    "1": 0.02,  # 5 mm of a forearm of 25 cm
}
RATES = ("stroke_rate", "speed", "stroke_length", "cycle_time")
GIVEN = {slug: FaultSetting(slug, severity=0.7) for slug in ALL}
FIRST_BUMP = 0.1  # severity of double_bump at which the peak is about to split (decided scale)


QUICK = ("pace400_man", "sprint_man", "masters_woman")  # the other presets are swum by the nightly command
SWIMMERS = [
    pytest.param((preset, slug), marks=() if preset in QUICK else pytest.mark.slow, id=f"{preset}-{slug}")
    for preset, slug in itertools.product(PRESETS, ALL)
]


@pytest.fixture(scope="module", params=SWIMMERS)
def case(request):
    """Preset, fault, and by severity the swimmer with the fault, or the refusal where it cannot be shown."""
    preset, slug = request.param
    shown = {}
    for severity in SEVERITIES:
        try:
            shown[severity] = swimmer(preset, slug, faults=(FaultSetting(slug, severity=severity),))
        except UnreachableError as refusal:
            shown[severity] = str(refusal)
    return preset, slug, shown


def swum(case):
    """(severity, swimmer) of those that are not refused."""
    return [(severity, one) for severity, one in case[2].items() if not isinstance(one, str)]


def changes(preset, slug, one):
    owns = {slug: faults()[slug].owns}
    return cross_talk(swimmer(preset, slug).truth.measures, {slug: one.truth.measures}, owns=owns)


def test_main_measure_is_on_the_line_from_own_value_to_gross(case):
    """m0 + s (g - m0); double_bump spends its first tenth on the way to two peaks."""
    preset, slug, _ = case
    clean = main_values(swimmer(preset, slug), slug)
    gross = gross_of(slug, made(preset).body)
    for severity, one in swum(case):
        share = (severity - FIRST_BUMP) / (1 - FIRST_BUMP) if slug == "double_bump" else severity
        wanted = [own + share * (gross - own) for own in clean]
        assert main_values(one, slug) == pytest.approx(wanted, abs=DOOR), severity


def test_nothing_outside_what_a_fault_owns_moves(case):
    preset, slug, _ = case
    moved = [
        (severity, c.measure, c.side, round(c.change, 3), c.unit)
        for severity, one in swum(case)
        for c in changes(preset, slug, one)
        if not c.owned and c.measure not in RATES and c.change > OUTSIDE[c.unit]
    ]
    assert not moved


def test_rate_and_speed_stay(case):
    preset, slug, _ = case
    for _, one in swum(case):
        moved = [c.change for c in changes(preset, slug, one) if c.measure in RATES]
        assert len(moved) == len(RATES) and max(moved) < ALGEBRA


def test_a_fault_that_can_be_shown_large_can_be_shown_small(case):
    """Reach has one edge, with no gaps below it. The 400-m presets show every fault in full."""
    preset, _, shown = case
    reached = [not isinstance(shown[severity], str) for severity in SEVERITIES]
    assert reached == sorted(reached, reverse=True), shown
    assert all(reached) or not preset.startswith("pace400"), shown


def test_a_refusal_names_target_and_a_range_without_the_value(case):
    for text in (one for one in case[2].values() if isinstance(one, str)):
        numbers = re.search(
            r"arm: [a-z_0-9]+: expected about (\S+) .*to (\S+) .*, got (\S+)", text
        ) or re.search(r"not human: [a-z ]+: expected (\S+) to (\S+), got (\S+)", text)
        assert numbers or "cannot be reached together" in text, text
        if numbers:
            low, high, got = (float(n) for n in numbers.groups())
            assert low < high and not low < got < high, text


def test_every_size_is_human_or_refused(case):
    """The limits are wide, from shared/human_limits.toml: only an impossible motion breaks them."""
    for severity, one in swum(case):
        assert not problems(one.motion), severity


def test_table_of_cross_talk():
    """Faults and measures on the 400-m preset; the main measure of every fault moves."""
    table = [
        c
        for slug in ALL
        for c in changes("pace400_man", slug, swimmer("pace400_man", slug, faults=(GIVEN[slug],)))
    ]
    print(cross_talk_text(table, least=1e-3))
    assert {c.fault for c in table} == set(GROSS)
    for slug in ALL:
        owned = [c for c in table if c.fault == slug and c.owned]
        idle = {c.measure for c in owned} - {c.measure for c in owned if c.change > DOOR}
        print(f"{slug}: owned but still here: {', '.join(sorted(idle)) or 'none'}")
        assert faults()[slug].main_measure not in idle


@pytest.mark.parametrize("slug", [slug for slug in ALL if faults()[slug].of_arm])
def test_breath_only_faults_leave_the_other_strokes_alone(slug):
    """Measures of the strokes without a breath stay within the bounds, though the curves are joined."""
    setting = FaultSetting(slug, severity=0.7, side="left", strokes="breathing")
    clean = made("pace400_woman", breathing=("left", 4))
    swum = made("pace400_woman", breathing=("left", 4), faults=(setting,))
    before = {
        (m.measure, m.cycle): m for m in clean.truth.measures if m.side == "left" and m.breathing is None
    }
    moved = []
    for m in swum.truth.measures:
        own = before.get((m.measure, m.cycle))
        plain = m.side == "left" and m.cycle == 1 and m.breathing is None  # a breath in cycle 0 of 2
        if plain and "coordination" not in m.measure and abs(m.value - own.value) > OUTSIDE[m.unit]:
            moved.append((m.measure, round(own.value, 2), round(m.value, 2), m.unit))
    assert not moved
