"""HAND-COUNTED records: every score of a card; then a small design swum, killed half-way and taken up again."""

import dataclasses
import json
import math
import re

import numpy as np
import pytest
from tolerances import ALGEBRA

import swimsim
from swimsim.ground.errors import InputError
from swimsim.validation import runner
from swimsim.validation.design import Cell, Design, Unit, read_design
from swimsim.validation.detector_words import all_failed, cells_of, failure_words, words_of_detector
from swimsim.validation.gather import gather
from swimsim.validation.judges import JudgeSpec, OwnJudge
from swimsim.validation.recovery import error
from swimsim.validation.report import summary_rows, write_report
from swimsim.validation.require import fell_short, read_requirements
from swimsim.validation.runner import RECORDS, read_lines, run_design
from swimsim.validation.score_page import write_page
from swimsim.validation.scorecard import scorecard, table
from swimsim.validation.work import do, true_and_read
from swimsim.view.score_plots import draw_confusion

HEAD = {
    "design": read_design({"faults": ["crossover", "flat_hips"], "views": ["front"], "seed": 1}).text(),
    "version": "0.1.0",
    "detector": "by hand",
}


def clip(swimmer, fault, effective, *, crossover=(False, 0.0), **more):
    """One record: what the detector of crossover said, and what else is given."""
    present, score = crossover
    return {
        "unit": f"swimmer {swimmer}", "swimmer": swimmer, "fault": fault, "severity": effective, "condition": "square",
        "view": "front", "effective": effective, "true": {"crossover": effective if fault == "crossover" else 0.0},
        "frames": 100, "seconds": 0.01, "rate_hz": 50.0, "events": {}, "measures": {}, "failed": None,
        "findings": {"crossover": [present, score, None if score is None else max(score, 0.0), None, None]}, **more,
    }  # fmt: skip


CLIPS = [
    clip(0, None, 0.0, crossover=(False, 0.0)),
    clip(1, None, 0.0, crossover=(False, 0.1)),
    clip(2, None, 0.0, crossover=(True, 0.45)),  # the one false alarm
    clip(3, None, 0.0, crossover=(False, -0.2)),
    clip(0, "crossover", 0.2, crossover=(False, 0.1)),
    clip(1, "crossover", 0.4, crossover=(True, 0.5)),
    clip(2, "crossover", 0.6, crossover=(False, None)),  # could not be read: a miss
    clip(3, "crossover", 0.9, crossover=(True, 0.8)),
    clip(0, "flat_hips", 0.7, crossover=(True, 0.4)),
]


def card_of(clips=CLIPS, head=HEAD):
    return scorecard(gather([head, *clips, {"unit": "x", "done": True}]))


@pytest.fixture(scope="module")
def crossover():
    return card_of()["faults"]["crossover"]["square"]["front"]


# ---- faults


def test_false_alarms_are_counted_on_clean_clips_with_wilsons_interval(crossover):
    assert (crossover["false_alarms"], crossover["clean_clips"], crossover["false_alarms_per_100"]) == (
        1,
        4,
        25,
    )
    # 1 of 4 by the closed form: (p + z2/2n -+ z sqrt(p q / n + z2/4n2)) / (1 + z2/n), z = 1.959964
    assert crossover["false_alarms_per_100_ci"] == pytest.approx([4.5587, 69.9358], abs=1e-3)


def test_auc_by_counting_pairs(crossover):
    """All: 0.1 wins 2.5 of 4 (0, tie, -0.2), 0.5 and 0.8 win 4, what was not read wins none: 10.5 of 16.
    At half, 0.4 and 0.6: 4 of 8.
    """
    assert (crossover["auc_all"], crossover["auc"]) == (10.5 / 16, 0.5)
    assert (crossover["auc_clips"], crossover["not_read"]) == (2, 1)


def test_severity_error_is_that_of_the_clips_that_were_read(crossover):
    """|0.1 - 0.2|, |0.5 - 0.4|, |0.8 - 0.9|."""
    assert crossover["severity_mae"] == pytest.approx(0.1)
    assert crossover["severity_bias"] == pytest.approx(-0.1 / 3, abs=1e-6)


def test_limit_of_blank_by_hand(crossover):
    blank = np.array([0.0, 0.1, 0.45, -0.2])
    assert crossover["limit_of_blank"] == pytest.approx(blank.mean() + 1.644854 * blank.std(ddof=1), abs=1e-6)


def test_a_clean_detector_gives_a_step():
    clips = [clip(0, None, 0.0), clip(1, None, 0.0)]
    clips += [clip(k, "crossover", s, crossover=(s > 0.3, s)) for k, s in enumerate((0.1, 0.25, 0.35, 0.8))]
    found = card_of(clips)["faults"]["crossover"]["square"]["front"]
    assert (found["s50"], found["s50_ci"], found["s95"]) == (pytest.approx(0.3), [0.25, 0.35], 0.35)


def test_a_fault_that_was_never_swum_has_no_scores():
    assert set(card_of(CLIPS[:8])["faults"]) == {"crossover"}


def test_a_detector_that_says_nothing_misses_everything_and_stops_nothing():
    clips = [{**one, "findings": {}, "failed": "no answer in 10 s"} for one in CLIPS]
    card = card_of(clips)
    found = card["faults"]["crossover"]["square"]["front"]
    assert (found["false_alarms"], found["not_read"], found["auc"], found["s50"]) == (None, 4, None, None)
    assert found["reason"].startswith("failed") and card["failed"] == {"no answer in 10 s": 9}
    assert card["answered"]["square"]["front"] == {"clips": 9, "answered": 0, "failed": 9}
    assert failure_words(card) == "your detector failed in 9 of 9 clips: no answer in 10 s" and all_failed(
        card
    )
    assert cells_of(found, None)["auc"] == "failed"
    assert failure_words(card_of()) is None and not all_failed(card_of())


def test_a_fault_that_no_finding_names_is_not_judged_and_keeps_its_keys(crossover):
    found = card_of()["faults"]["flat_hips"]["square"]["front"]
    assert found["reason"] == "not judged: no finding ever names this fault"
    assert set(found) == set(crossover)
    numbers = ("auc", "auc_all", "s50", "s95", "false_alarms", "false_alarms_per_100", "severity_mae")
    assert [found[key] for key in numbers] == [None] * 7
    assert cells_of(found, crossover)["auc"] == "not judged | 0.50"
    theirs = card_of([{**one, "built_in": {}} for one in CLIPS])
    assert [row["fault"] for row in summary_rows(theirs)] == ["crossover"]
    assert words_of_detector(theirs, []) == ["not judged, because your detector never names them: flat_hips"]


def test_a_view_without_any_answer_is_not_judged():
    clips = [*CLIPS, *({**one, "view": "3d", "findings": {}} for one in CLIPS)]
    card = card_of(clips)
    assert "no clip was answered" in card["faults"]["crossover"]["square"]["3d"]["reason"]
    assert card["answered"]["square"]["3d"] == {"clips": 9, "answered": 0, "failed": 0}
    assert card["faults"]["crossover"]["square"]["front"]["auc_all"] == 10.5 / 16
    assert words_of_detector(card, [])[-1] == "no clip was answered in: square 3d (0 of 9)"


def test_the_packages_own_stand_beside_somebody_elses():
    """Ours read every clip by its severity: all pairs won; theirs as counted by hand above."""
    sure = {"crossover": [True, 1.0, 1.0, None, None]}
    none = {"crossover": [False, 0.0, 0.0, None, None]}
    clips = [{**one, "built_in": sure if one["fault"] == "crossover" else none, "notes": ["a"], "said": "x\ny"}
             for one in CLIPS]  # fmt: skip
    gathered = gather([HEAD, *clips])
    card = scorecard(gathered)
    assert card["built_in"]["faults"]["crossover"]["square"]["front"]["auc_all"] == 1
    assert card["built_in"]["any_fault"]["square"]["front"]["alarmed"] == 0
    assert card["faults"] == card_of()["faults"]
    assert summary_rows(card)[0]["auc, all"] == "0.66 | 1.00"
    said = words_of_detector(card, gathered.said, lines=2)
    assert said[1:] == ["your detector, in 9 clips: a", "your detector printed: x", "your detector printed: y",
                    "your detector printed 16 more lines; `said` in records.jsonl has them"]  # fmt: skip


def test_confusion_has_the_swum_fault_in_rows_and_clean_swimmers_last():
    found = card_of()["confusion"]["square"]["front"]
    assert found["present"]["crossover"]["crossover"] == pytest.approx(
        2 / 3, abs=1e-6
    )  # 0.4, 0.6 and 0.9; not 0.2
    assert found["present"]["flat_hips"]["crossover"] == 1.0
    assert found["present"]["none"]["crossover"] == 0.25
    assert found["shift"]["flat_hips"]["crossover"] == pytest.approx(0.4 - 0.35 / 4, abs=1e-6)


def test_any_fault_counts_swimmers():
    found = card_of()["any_fault"]["square"]["front"]
    assert (found["swimmers"], found["alarmed"], found["rate"]) == (4, 1, 0.25)


# ---- measures, events, speed


def test_a_measure_has_bias_and_limits_over_both_sides():
    clips = [
        clip(k, None, 0.0, measures={"exit_past_hip": [[5.0, 6.0 + k], [5.0, None]]}) for k in range(3)
    ]  # errors 1, 2, 3; one side is never read
    found = card_of(clips)["measures"]["exit_past_hip"]["square"]["front"]
    assert (found["unit"], found["n"], found["bias"], found["sd"], found["read_share"]) == (
        "cm",
        3,
        2,
        1,
        0.5,
    )
    assert (found["loa_low"], found["loa_high"]) == (pytest.approx(0.04), pytest.approx(3.96))


def test_events_are_pooled_and_half_a_frame_is_that_of_the_clip():
    events = [clip(0, None, 0.0, events={"entry": [3, 4, [0.004, -0.02]]})]  # half a frame at 50 Hz: 0.01 s
    events += [clip(1, None, 0.0, events={"entry": [1, 0, []]})]
    found = card_of(events)["events"]["entry"]["square"]
    assert (found["true"], found["found"], found["matched"]) == (4, 4, 2)
    assert (found["precision"], found["recall"], found["f"]) == (0.5, 0.5, 0.5)
    assert (found["bias_s"], found["within_half_frame"]) == (pytest.approx(-0.008), 0.5)


def test_points_are_means_over_clips():
    score = {
        "median_px": 2.0,
        "p95_px": 5.0,
        "median_cm": 0.4,
        "given": 1.0,
        "oks": 0.9,
        "ap": None,
        "ap50": 1.0,
    }
    clips = [
        clip(0, None, 0.0, points=score),
        clip(1, None, 0.0, points={**score, "median_px": 4.0, "ap": 0.5}),
    ]
    found = card_of(clips)["points"]["square"]["front"]
    assert (found["clips"], found["median_px"], found["ap"]) == (2, 3, 0.5)


def test_speed_is_frames_over_seconds_of_judging():
    assert card_of()["speed"] == {"frames": 900, "frames_per_s": pytest.approx(10000)}


def test_a_refused_swim_is_listed_and_counts_for_nothing():
    refused = {
        "unit": "swimmer 0",
        "swimmer": 0,
        "fault": "crossover",
        "severity": 0.9,
        "refused": "cannot be swum",
    }
    card = card_of([*CLIPS, refused])
    assert card["refused"] == ["crossover 0.90: cannot be swum"]
    assert card["faults"] == card_of()["faults"]


def test_the_card_holds_what_a_gate_needs_as_plain_json():
    card = card_of()
    text = json.dumps(card, allow_nan=False)
    assert json.loads(text) == card
    assert {"auc", "s50", "s95", "false_alarms_per_100", "severity_mae"} <= set(
        card["faults"]["crossover"]["square"]["front"]
    )
    assert {"seed", "versions", "design", "detector"} <= set(card)
    assert {"swimsim", "python", "numpy", "scipy"} <= set(card["versions"])


def test_the_table_has_a_row_for_every_number():
    rows = {row[:5]: row[5:] for row in table(card_of())}
    assert rows["fault", "crossover", "square", "front", "false_alarms_per_100"] == (
        25.0, pytest.approx(4.5587, abs=1e-3), pytest.approx(69.9358, abs=1e-3),
    )  # fmt: skip
    assert rows["fault", "crossover", "square", "front", "auc"][0] == 0.5


# ---- requirements


@pytest.mark.parametrize(
    ("row", "short"),
    [
        ({"score": "faults.crossover.square.front.auc", "least": 0.5}, []),
        ({"score": "faults.crossover.square.front.auc", "least": 0.98},
         ["faults.crossover.square.front.auc: 0.5, at least 0.98 is required"]),
        ({"score": "faults.*.square.best.false_alarms_per_100", "most": 2},
         ["faults.crossover.square.front.false_alarms_per_100: 25, at most 2 is allowed",
          "faults.flat_hips.square.front.false_alarms_per_100: not known"]),
        ({"score": "faults.flat_hips.square.best.s50", "most": 0.35}, ["faults.flat_hips.square.front.s50: not known"]),
    ],
)  # fmt: skip
def test_what_falls_short_is_named(row, short):
    assert fell_short(card_of(), [row]) == short


def test_a_requirement_that_leads_nowhere_is_refused():
    with pytest.raises(InputError, match=r"'faults\.crosover\.square\.front\.auc' leads to no score"):
        fell_short(card_of(), [{"score": "faults.crosover.square.front.auc", "least": 1}])


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "expected rows"),
        ("[[require]]\nscore = 'a.b'", "least, most: expected at least one"),
        ("[[require]]\nscore = 'a.b'\nlest = 1", "unknown key; did you mean 'least'"),
        ("[[require]]\nscore = 3\nleast = 1", "score: expected a path of keys"),
        ("[[require", "expected a TOML file"),
    ],
)
def test_a_file_of_requirements_that_does_not_fit_is_named(tmp_path, text, says):
    path = tmp_path / "r.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=says):
        read_requirements(path)


# ---- the files


def test_the_page_needs_nothing_else_and_says_what_it_is(tmp_path):
    measures = {"exit_past_hip": [[5.0, 6.0], [5.0, 5.5]]}
    clips = [{**one, "measures": measures, "events": {"entry": [2, 2, [0.001]]}} for one in CLIPS]
    card = card_of(clips)
    files = write_report(card, tmp_path, short=["faults.x: 1 < 2 & more"])
    assert {"scorecard.html", "scorecard.json", "scorecard.csv"} < set(files)
    assert {path.name for path in tmp_path.iterdir()} == set(files)
    page = (tmp_path / "scorecard.html").read_text(encoding="utf-8")
    assert "faults.x: 1 &lt; 2 &amp; more" in page
    assert "http" not in page.replace("http-equiv", "") and "<script" not in page
    assert sum(name.endswith(".png") for name in files) == 4
    assert json.loads((tmp_path / "scorecard.json").read_text(encoding="utf-8")) == card


def test_plots_of_an_earlier_scorecard_go_and_none_is_drawn_of_what_was_not_judged(tmp_path):
    first = write_report(card_of(), tmp_path)
    assert "confusion_square_front.png" in first
    silent = [{**one, "findings": {}, "built_in": {}} for one in CLIPS]
    files = write_report(card_of(silent), tmp_path)
    assert (
        {path.name for path in tmp_path.iterdir()}
        == set(files)
        == {"scorecard.html", "scorecard.json", "scorecard.csv"}
    )


def test_a_confusion_plot_of_one_fault_is_wide_enough_for_its_words(tmp_path):
    """The grey of the words ends before the right edge: a white margin of 10 pixels, and so at the other edges."""
    import cv2

    shares = {"low_elbow_recovery": {"low_elbow_recovery": 1.0}, "none": {"low_elbow_recovery": 0.0}}
    words = ("Rows: fault that was swum, effective severity 0.35 or more; last row: clean swimmers.",
             "Columns: detectors that spoke, percent of the clips, in the best view of the row's fault.")  # fmt: skip
    draw_confusion(
        shares,
        tmp_path / "c.png",
        title="What is taken for what (good action camera, view best)",
        words=words,
    )
    dark = cv2.imread(str(tmp_path / "c.png")).min(axis=2) < 200
    assert dark.any()
    for edge in (dark[:10], dark[-10:], dark[:, :10], dark[:, -10:]):
        assert not edge.any()


def page_of(tmp_path, card, **more):
    write_page(card, tmp_path / "page.html", **{"plots": (), "short": None, **more})
    return (tmp_path / "page.html").read_text(encoding="utf-8")


def test_every_link_of_the_contents_leads_to_a_section(tmp_path):
    page = page_of(tmp_path, card_of())
    links = re.findall(r'href="#([^"]+)"', page)
    assert len(links) >= 6 and links == re.findall(r'<section id="([^"]+)"', page)


def test_a_panel_has_a_dot_for_each_clip_and_its_words_count_right(tmp_path):
    """4 clean and 4 faulty clips of crossover; one of the four clean swimmers set off an alarm."""
    page = page_of(tmp_path, card_of())
    panel = page.split('id="detection-0"')[1].split("</figure>")[0]
    assert panel.count("<circle") == 8 and panel.count('class="found"') == 3
    assert "1 false alarm in 4 clean clips" in panel
    assert "2 faults, 12 clean swimmers" in page
    head = {**HEAD, "design": {**HEAD["design"], "faults": ["crossover"], "swimmers": 1}}
    assert "1 fault, 1 clean swimmer," in page_of(tmp_path, card_of(head=head))


def test_dots_and_curves_stay_inside_their_panel(tmp_path):
    page = page_of(tmp_path, card_of())
    for width, height, drawn in re.findall(r'<svg viewBox="0 0 (\d+) (\d+)"[^>]*>(.*?)</svg>', page):
        for x, y in re.findall(r'cx="([\d.-]+)" cy="([\d.-]+)"', drawn):
            assert 0 < float(x) < int(width) and 0 < float(y) < int(height)
        for line in re.findall(r'points="([^"]+)"', drawn):
            x, y = np.array([pair.split(",") for pair in line.split()], float).T
            assert x.min() >= 0 and x.max() <= int(width) and y.min() >= 0 and y.max() <= int(height)


def test_a_fault_that_is_not_judged_is_folded_and_has_no_panel(tmp_path):
    page = page_of(tmp_path, card_of())
    folded = page.split('<details class="grey">')[1].split("</details>")[0]
    assert "1 fault not judged" in folded and "flat hips" in folded and "no finding ever names" in folded
    assert "flat hips" not in page.split('id="detection-0"')[1].split("</section>")[0]


def test_the_page_of_a_detector_that_failed_says_so_at_its_top(tmp_path):
    clips = [{**one, "findings": {}, "failed": "KeyError: 'a' (d.py:3)", "built_in": {}} for one in CLIPS]
    page = page_of(tmp_path, card_of(clips))
    top = page.split("<nav>")[0]
    assert "Your detector failed in 9 of 9 clips: KeyError: &#x27;a&#x27; (d.py:3)" in top
    assert "<summary>1 fault failed</summary>" not in page and "<summary>2 faults failed</summary>" in page
    assert '<div class="alarm">' not in page_of(tmp_path, card_of())


def test_the_page_of_somebody_elses_detector_tells_theirs_from_ours(tmp_path):
    measures = {"exit_past_hip": [[5.0, 6.0], [5.0, 5.5]]}
    clips = [
        {**one, "built_in": {"crossover": [True, 1.0, 1.0, None, None]}, "measures": measures}
        for one in CLIPS
    ]
    page = page_of(tmp_path, card_of(clips))
    # 10.5 of 16 pairs; ours, made up here, cries wolf in every clip and tells nothing apart
    assert re.search(r"<span>0\.66 \([\d.]+ to [\d.]+\)<small>0\.50 \(0\.50 to 0\.50\)</small>", page)
    assert "Your detector answered: front 9 of 9 clips." in page
    assert "not that of your detector" in page.split('id="reading"')[1]
    points = page_of(tmp_path, card_of([{**one, "gives": "points"} for one in clips]))
    assert "not that of your detector" not in points and "that your detector gave" in points
    own = page_of(tmp_path, card_of([{**one, "measures": measures} for one in CLIPS]))
    assert "your detector" not in own.lower() and "<small>" not in own


# ---- running


DESIGN = Design(name="made up", swimmers=5, faults=("crossover",), runs_per_fault=5, views=("3d",), seed=9)


def quick_work(unit, design, *, judge):
    """Records without a swim."""
    if unit.clean:
        yield {**clip(unit.swimmer, None, 0.0), "unit": unit.name}
    for cell in unit.cells:
        yield {**clip(unit.swimmer, cell.fault, cell.severity), "unit": unit.name}


@pytest.fixture
def counted(monkeypatch):
    """The runner in one process with swims that take no time; a list of the units that were done."""
    seen = []

    def work(unit, design, *, judge):
        seen.append(unit.name)
        return quick_work(unit, design, judge=judge)

    monkeypatch.setattr(runner, "do", work)
    return seen


def test_a_run_that_was_cut_off_goes_on_where_it_stopped(tmp_path, counted):
    path = run_design(DESIGN, tmp_path / "a", processes=1)
    whole = path.read_text(encoding="utf-8").splitlines(keepends=True)
    assert len(counted) == 5 and len(whole) == 1 + 5 * 3
    path.write_text("".join(whole[:8]) + whole[8][:20], encoding="utf-8")  # two units done, one half-written
    counted.clear()
    run_design(DESIGN, tmp_path / "a", processes=1)
    assert len(counted) == 3
    assert path.read_text(encoding="utf-8").splitlines(keepends=True) == whole


def test_a_run_that_is_done_is_not_done_again(tmp_path, counted):
    for _ in range(2):
        run_design(DESIGN, tmp_path, processes=1)
    assert len(counted) == 5


def test_the_records_of_another_design_are_not_mixed_in(tmp_path, counted):
    run_design(DESIGN, tmp_path, processes=1)
    other = dataclasses.replace(DESIGN, seed=10)
    with pytest.raises(InputError, match=r"got those of another detector \('swimsim'\)"):
        run_design(DESIGN, tmp_path, judge=JudgeSpec("mine", files="a"), processes=1)
    with pytest.raises(InputError, match="expected the records of this design"):
        run_design(other, tmp_path, processes=1)
    run_design(other, tmp_path, processes=1, force=True)
    assert next(read_lines(tmp_path / RECORDS))["design"]["seed"] == 10


@pytest.fixture
def mine(monkeypatch):
    """A detector that needs no process."""
    monkeypatch.setattr(runner, "make_judge", lambda spec: OwnJudge())

    def run(folder, told, **changes):
        spec = JudgeSpec(**{"name": "mine", "files": "a", **changes})
        return run_design(DESIGN, folder, judge=spec, processes=1, tell=told.append)

    return run


@pytest.mark.parametrize(
    ("changes", "done", "says"),
    [
        ({}, 0, "10 of 10 clips taken from the earlier run in"),
        ({"files": "b"}, 5, "your detector has changed since the earlier run in"),
        ({"time_limit_s": 2.0}, 5, "your time limit has changed since the earlier run in"),
    ],
)
def test_a_detector_that_changed_is_judged_anew(tmp_path, counted, mine, changes, done, says):
    mine(tmp_path, told := [])
    assert told == [] and len(counted) == 5
    counted.clear()
    mine(tmp_path, told, **changes)
    assert len(counted) == done
    assert len(told) == 1 and told[0].startswith(says) and str(tmp_path) in told[0]


def test_units_in_which_the_detector_failed_are_judged_again(tmp_path, counted, mine):
    path = mine(tmp_path, [])
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('"failed":null', '"failed":"no numpy"', 1), encoding="utf-8")
    counted.clear()
    mine(tmp_path, told := [])
    assert len(counted) == 1 and told[0].startswith("8 of 10 clips")
    assert '"failed":"no numpy"' not in path.read_text(encoding="utf-8")


def test_progress_counts_units(tmp_path, counted):
    said = []
    run_design(DESIGN, tmp_path, processes=1, progress=lambda *step: said.append(step[1:]))
    assert said == [(k, 5) for k in range(6)]


@pytest.fixture(scope="module")
def swum():
    """Records of one clean swimmer and of the same one crossing over, in space and from the front."""
    design = read_design({"faults": ["crossover"], "conditions": ["square"], "seed": 31, "swimmers": 1})
    return list(do(Unit("one", 0, True, (Cell("crossover", 0.8),)), design))


def test_a_swum_unit_has_a_record_for_each_way(swum):
    assert [(r["fault"], r["view"]) for r in swum] == [
        (f, v) for f in (None, "crossover") for v in ("3d", "front")
    ]
    json.dumps(swum, allow_nan=False)


def test_the_fault_is_found_and_its_severity_is_near_the_true_one(swum):
    clean, faulty = swum[0], swum[2]
    assert faulty["effective"] == pytest.approx(
        0.8, abs=0.15
    )  # from this swimmer's own entry, not the usual one
    assert faulty["findings"]["crossover"][0] and not clean["findings"]["crossover"][0]
    assert faulty["findings"]["crossover"][2] == pytest.approx(faulty["effective"], abs=0.08)


def test_measures_of_a_swum_unit_are_near_the_truth(swum):
    for row in (swum[0], swum[2]):
        for true, read in row["measures"]["entry_line"]:
            assert read == pytest.approx(true, abs=1.0)  # 2 px of noise are half a centimetre
        assert set(row["events"]) == {"entry", "start_backward", "shoulder_plane", "end_backward", "exit"}
        assert row["events"]["entry"][0] == row["events"]["entry"][1] == len(row["events"]["entry"][2])


def test_points_of_a_swum_clip_err_by_the_noise_of_the_condition(swum):
    """2 px on each axis: the median distance is 2 sqrt(2 ln 2) px; 24 pictures of 32 points, five standard errors."""
    points = swum[1]["points"]
    assert points["median_px"] == pytest.approx(
        2 * math.sqrt(2 * math.log(2)), abs=5 * 1.253 * 1.31 / 768**0.5
    )
    assert points["given"] == 1 and swum[0]["points"] is None and swum[3]["points"] is None


@pytest.mark.slow
def test_two_workers_find_what_one_finds(tmp_path):
    keys = {"faults": ["crossover"], "conditions": ["square"], "views": ["3d"], "seed": 31, "swimmers": 3}
    design = read_design({**keys, "runs_per_fault": 3})
    cards = []
    for count in (1, 2):
        path = run_design(design, tmp_path / str(count), processes=count)
        card = scorecard(gather(sorted(read_lines(path), key=lambda line: json.dumps(line.get("unit", "")))))
        cards.append({key: card[key] for key in ("measures", "events", "confusion")})
    assert cards[0] == cards[1]


def test_the_door_says_what_fell_short(tmp_path, counted):
    rules = tmp_path / "r.toml"
    rules.write_text(
        '[[require]]\nscore = "faults.crossover.square.3d.auc_all"\nleast = 0.98\n', encoding="utf-8"
    )
    keys = {
        "swimmers": 5,
        "faults": ["crossover"],
        "runs_per_fault": 5,
        "views": ["front"],
        "conditions": ["square"],
    }
    rules.write_text(rules.read_text(encoding="utf-8").replace("3d", "front"), encoding="utf-8")
    found = swimsim.validate(keys, tmp_path / "out", require=rules, processes=1)
    assert found.short == ["faults.crossover.square.front.auc_all: 0.5, at least 0.98 is required"]
    assert {path.name for path in found.folder.iterdir()} == set(found.files)
    assert math.isclose(found.card["faults"]["crossover"]["square"]["front"]["auc_all"], 0.5, abs_tol=ALGEBRA)


def test_the_program_ends_with_1_and_names_what_fell_short(tmp_path, counted, capsys):
    from swimsim.cli.main import run_program

    design, rules = tmp_path / "d.toml", tmp_path / "r.toml"
    design.write_text(
        'swimmers = 5\nfaults = ["crossover"]\nviews = ["front"]\nconditions = ["square"]\n', encoding="utf-8"
    )
    line = [
        "validate",
        str(design),
        "--out",
        str(tmp_path / "o"),
        "--processes",
        "1",
        "--require",
        str(rules),
    ]
    for least, code in ((0.98, 1), (0.5, 0)):
        rules.write_text(
            f'[[require]]\nscore = "faults.*.*.best.auc_all"\nleast = {least}\n', encoding="utf-8"
        )
        assert run_program(line) == code
        assert ("auc_all: 0.5, at least 0.98 is required" in capsys.readouterr().out) is (code == 1)
    rules.write_text("[[require]]\n", encoding="utf-8")
    assert run_program(line) == 2
    assert "r.toml: require 1: score: expected a path of keys" in capsys.readouterr().err


def test_an_angle_that_repeats_is_read_the_shorter_way_round():
    """By hand: from 170 to -175 degrees is 15 degrees on, so 185 and not 345 back; a depth stays as it is."""
    rows = [
        {
            "measure": "kick_phase_at_entry",
            "truth": 170.0,
            "error": error("kick_phase_at_entry", -175.0, 170.0),
        },
        {"measure": "hand_depth", "truth": 60.0, "error": error("hand_depth", 61.5, 60.0)},
        {"measure": "hand_depth", "truth": 60.0, "error": np.nan},
        {"measure": "exit_past_hip", "truth": np.nan, "error": np.nan},
    ]
    assert true_and_read(rows) == {
        "kick_phase_at_entry": [[170.0, 185.0]],
        "hand_depth": [[60.0, 61.5], [60.0, None]],
    }


@pytest.mark.parametrize(
    ("row", "text"),
    [
        ({"s95": 0.6, "s95_ci": [0.2, 0.9], "s95_says": None}, "0.60 (0.20 to 0.90)"),
        (
            {"s95": 0.6, "s95_ci": [0.2, None], "s95_says": "interval ends beyond 1"},
            "0.60 (0.20 to beyond 1)",
        ),
        ({"s95": None, "s95_ci": [0.7, None], "s95_says": "beyond 1"}, "beyond 1 (0.70 to beyond 1)"),
        ({"s95": None, "s95_ci": [None, None], "s95_says": "beyond 1"}, "beyond 1"),
        ({"s95": None, "s95_ci": [None, None], "s95_says": None}, "-"),
    ],
)
def test_a_severity_beyond_one_is_said_in_words_on_the_page(row, text):
    from swimsim.validation.page_tables import span

    assert span(row, "s95") == text
