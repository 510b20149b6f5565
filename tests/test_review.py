"""SECOND METHOD: what is praised is read blind from the trace; INVARIANT: order, captions, caution, one at a time."""

import dataclasses
from itertools import pairwise

import numpy as np
import pytest
from played_faults import FAULTS, played

import swimsim
from swimsim.faults.catalogue import fault_named
from swimsim.ground.conventions import CAUTION_LINE
from swimsim.ground.errors import InputError
from swimsim.ground.tables import read_toml
from swimsim.ground.words import fault_words, order_of_correction
from swimsim.metrics import measure_trace
from swimsim.teaching.cues import drill_names, in_order
from swimsim.teaching.review import MOST_FAULTS, STOP_S, review_parts, write_review
from swimsim.teaching.right import right_things
from swimsim.view.captions import caption_lines
from swimsim.view.reel import CAPTIONS_SUFFIX
from swimsim.view.stretch import Timeline

MANY = ["double_bump", "palm_in_finish", "wide_entry", "flat_hips", "dropped_elbow"]
BLIND = {
    "cm": 2.0,
    "deg": 4.0,
    "%": 4.0,
}  # what a blind reading of 60 frames a second may miss, with its filter


def run_of(*faults, severity=0.5, **more):
    given = {"fault": [{"fault": f, "severity": severity} for f in faults], **more}
    return swimsim.play(swimsim.read_scenario(given))


@pytest.fixture(scope="module")
def many():
    return run_of(*MANY)


def words_of(part):
    return " ".join([part.card.heading, *part.card.lines, part.card.small])


def swimming(parts):
    return [part for part in parts if part.card is None]


def test_never_more_than_three_faults_and_the_rest_is_named_as_later(many):
    parts = review_parts(many)
    names = [p.card.heading for p in parts if p.card and p.card.word == "FAULT"]
    assert names == ["Flat hips", "Wide entry", "Dropped elbow"] and len(names) == MOST_FAULTS
    closing = words_of(parts[-2])
    assert "Later: palm turned in at the finish, double-bump roll." in closing
    for fault in ("palm_in_finish", "double_bump"):
        assert not any(fault_words(fault).cue in words_of(p) for p in parts if p.card)
    assert {p.panels[0][1].title for p in swimming(parts)[1:-1]} == {
        "flat hips",
        "wide entry",
        "dropped elbow",
    }


def test_faults_come_in_the_order_of_correction(many):
    order = order_of_correction()
    places = [order.index(s.fault) for s in in_order(many.fault.faults)]
    assert places == sorted(places) and len(places) == len(MANY)


def test_one_fault_at_a_time(many):
    """Limb, lines, number and gauge of each section are those of its own fault alone."""
    sections = swimming(review_parts(many))[1:-1]
    for first, second in zip(sections[::2], sections[1::2], strict=True):
        for part in (first, second):
            fault, correct = (marks for _, marks in part.panels)
            assert fault.word == "FAULT" and correct.word == "CORRECT" and fault.limb == correct.limb
        assert first.slow == 1.0 and second.slow == 0.5, "as swum first, then slowly"
    limbs = [p.panels[0][1].limb for p in sections[::2]]
    assert limbs[0] == ("left_hip", "right_hip") and all(limb[0] == "left_shoulder" for limb in limbs[1:])
    assert [p.panels[0][1].gauge is not None for p in sections[::2]] == [True, False, False]


def test_every_fault_opens_in_its_best_view(many):
    views = [p.views[0].name for p in swimming(review_parts(many))[1:-1:2]]
    assert views == ["front", "front", "side_left"]
    own = run_of("flat_hips", camera=[{"position_m": [0, 4, -0.5], "aim_m": [0, 0, -0.2], "field_deg": 50}])
    assert swimming(review_parts(own))[1].views[0].name == "camera_1", "a camera of one's own stays"


@pytest.mark.parametrize("fault", [*FAULTS, "triathlete_breath_slide", "masters_short_finish", "no_fault"])
def test_every_part_has_a_caption_and_caution_stands_beside_every_cue(fault):
    run = played(fault)
    parts = review_parts(run)
    said = {name for s in run.fault.faults for name in drill_names(s.fault)}
    said |= {fault_words(s.fault).cue for s in run.fault.faults}
    assert len(said) == 3 * len({s.fault for s in run.fault.faults}) or len(run.fault.faults) > 1
    shown = set()
    for part in parts:
        assert 1 <= len(caption_lines(part.caption)) <= 2 and "…" not in part.caption
        if part.card:
            here = {text for text in said if text in words_of(part)}
            assert not here or part.card.small == CAUTION_LINE
            shown |= here
    assert shown == said, "every cue and drill is shown"
    assert CAUTION_LINE in words_of(parts[-1]), "the caution card ends it"


def test_it_ends_on_the_correct_stroke():
    for name in ("dropped_elbow", "triathlete_breath_slide"):
        run = played(name)
        last = swimming(review_parts(run))[-1]
        ((trace, marks),) = last.panels
        assert marks.word == "CORRECT" and trace is run.correct.trace and last.layout == "single"


def test_each_panel_stops_on_its_own_key_instant():
    run = played("early_exit")
    part = next(p for p in review_parts(run) if p.stops)
    keys = [marks.key_share for _, marks in part.panels]
    assert keys[1] - keys[0] > 0.03, "the hand leaves later in the correct stroke"
    stretch = Timeline(30.0).plan(part)
    stopped = np.flatnonzero(stretch.repeats > 1)
    assert (stretch.repeats[stopped] == 1 + round(30 * STOP_S)).all() and len(stopped) == 2
    exits = [e.time_s for swum in (run.fault, run.correct) for e in swum.truth.events
             if (e.event, e.side, e.cycle) == ("exit", "left", 1)]  # fmt: skip
    for clock, picture, time in zip(stretch.clocks, stopped, exits, strict=True):
        assert clock.times_s[picture] == pytest.approx(time, abs=1e-6)


@pytest.mark.parametrize(
    ("side", "breathing", "cycle"), [("left", ("left", 4), 0), ("right", ("left", 3), 2)]
)
def test_a_fault_of_breathing_strokes_is_shown_on_a_breath(side, breathing, cycle):
    """Strokes run R0 L0 R1 L1 R2 L2: every fourth from L0 is L0, L2, ..; every third is L0, R2, ..."""
    fault = {"fault": "wide_pull", "severity": 0.7, "side": side, "strokes": "breathing"}
    run = swimsim.play(
        swimsim.read_scenario(
            {"fault": [fault], "breathing": dict(zip(("side", "every"), breathing, strict=True))}
        )
    )
    part = next(p for p in review_parts(run) if p.stops)
    stretch = Timeline(30.0).plan(part)
    time = float(stretch.clocks[0].times_s[np.argmax(stretch.repeats)])
    entries = [e for e in run.fault.truth.events if (e.event, e.side) == ("entry", side) and e.time_s <= time]
    assert max(e.cycle for e in entries) % run.fault.pattern.period_cycles == cycle


def test_with_scatter_the_stroke_of_the_key_instant_is_shown():
    run = run_of("early_exit", seed=5, stroke={"variability": True})
    timeline = Timeline(30.0)
    parts = swimming(review_parts(run))
    lengths = [float(np.ptp(timeline.plan(p).clocks[0].times_s)) for p in parts]
    assert max(lengths) < 1.5 * run.fault.motion.cycle_s, "one stroke at a time, not all that differ"
    stretch = Timeline(30.0).plan(next(p for p in parts if p.stops))
    out = [e.time_s for e in run.fault.truth.events if (e.event, e.side, e.cycle) == ("exit", "left", 1)]
    assert stretch.clocks[0].times_s[np.argmax(stretch.repeats)] == pytest.approx(out[0], abs=1e-6)


@pytest.mark.parametrize("name", [*FAULTS, "masters_short_finish", "no_fault"])
def test_what_is_praised_is_right_and_no_fault(name):
    run = played(name)
    things = right_things(run.fault, run.fault.faults)
    assert things, "there is always something right"
    rows = {row["measure"]: row for row in read_toml("right_things")["thing"]}
    blind = [m for m in measure_trace(run.fault.trace).measures if m.cycle is None and m.breathing is None]
    for thing in things:
        row = rows[thing.measure]
        assert all(row["low"] + row["inside"] <= v <= row["high"] - row["inside"] for v in thing.values)
        read = [m for m in blind if m.measure == thing.measure and np.isfinite(m.value)]
        assert read, thing.measure
        for m in read:
            assert row["low"] - BLIND[m.unit] <= m.value <= row["high"] + BLIND[m.unit], (
                thing.measure,
                m.value,
            )
        for setting in run.fault.faults:
            assert thing.measure not in fault_named(setting.fault).owns


def test_a_thing_near_the_edge_of_its_band_is_not_praised():
    """Entry 6 cm outside the shoulder line is within the pass mark of 8, but not well within."""
    praised = []
    for line in (0.0, 3.0, 6.0):
        scenario = {"stroke": {"entry_line_m": line / 100}}
        run = swimsim.play(swimsim.read_scenario(scenario))
        value = run.fault.truth.value("entry_line", "left")
        praised.append(("entry_line" in [t.measure for t in right_things(run.fault, ())], value))
    assert praised[0][0] and praised[1][0] and not praised[2][0], praised


def test_what_a_fault_moves_is_not_praised_even_when_it_is_small():
    slight, none = run_of("wide_entry", severity=0.02), run_of("dropped_elbow")
    assert "entry_line" in [t.measure for t in right_things(none.fault, none.fault.faults)]
    assert "entry_line" in [t.measure for t in right_things(slight.fault, ())], "the number itself is right"
    assert "entry_line" not in [t.measure for t in right_things(slight.fault, slight.fault.faults)]


def test_no_fault_is_said_and_what_is_right_is_shown():
    parts = review_parts(played("no_fault"))
    assert "No fault is set." in words_of(parts[0])
    assert [p.card is not None for p in parts] == [True, False, False, False, True]
    for part in swimming(parts):
        ((_, marks),) = part.panels
        assert marks.title.startswith("Right: ") and marks.value and marks.band.startswith("right: ")
        assert not marks.drawn and marks.word == "", "neither FAULT nor CORRECT"


def test_the_first_thing_shown_is_right(many):
    part = swimming(review_parts(many))[0]
    ((trace, marks),) = part.panels
    assert (
        trace is many.fault.trace and marks.title.startswith("Right: ") and part.caption.startswith("Right: ")
    )
    assert marks.value.rpartition(": ")[2], "with its number"


def test_the_clip_and_its_captions_are_written(tmp_path):
    run = played("triathlete_breath_slide")
    output = run.scenario.output.model_copy(update={"size": [320, 180], "fps": 25, "layout": "side_by_side"})
    small = dataclasses.replace(run, scenario=run.scenario.model_copy(update={"output": output}))
    seen = []
    write_review(
        small, tmp_path / "review.mp4", progress=lambda text, done, total: seen.append((text, done, total))
    )
    assert sorted(p.name for p in tmp_path.iterdir()) == ["review.mp4", "review.vtt"]
    captions = (tmp_path / "review").with_suffix(CAPTIONS_SUFFIX).read_text(encoding="utf-8")
    parts = review_parts(small)
    times = [line.split(" --> ") for line in captions.splitlines() if "-->" in line]
    assert all(a[1] == b[0] for a, b in pairwise(times)), "there is a caption at every instant"
    assert len(times) == len(
        {(i, p.caption) for i, p in enumerate(parts) if i == 0 or parts[i - 1].caption != p.caption}
    )
    assert "One thing at a time" in captions
    assert seen[-1][0] == "drawing the review" and seen[-1][1] == seen[-1][2] == len(seen)


def test_a_small_picture_shows_its_words_on_more_cards():
    run = played("masters_short_finish")
    output = run.scenario.output.model_copy(update={"size": [320, 180]})
    small = dataclasses.replace(run, scenario=run.scenario.model_copy(update={"output": output}))
    large, parts = review_parts(run), review_parts(small)
    assert len(parts) > len(large)
    assert {w for p in large if p.card for w in p.card.lines} == {
        w for p in parts if p.card for w in p.card.lines
    }
    for part in parts:
        if part.card and any("Drills:" in line or "Good enough:" in line for line in part.card.lines):
            assert part.card.small == CAUTION_LINE


def test_another_kind_of_file_is_refused(tmp_path):
    with pytest.raises(InputError, match=r"expected a file name ending in \.mp4"):
        write_review(played("no_fault"), tmp_path / "review.avi", progress=lambda *told: None)
    assert not list(tmp_path.iterdir())
