"""Scenario files. Kinds of truth: HAND-COUNTED (rates from counts), ROUND TRIP, INVARIANT (broken files)."""

import copy
import json
import tomllib
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tolerances import ALGEBRA

from swimsim.faults.catalogue import faults
from swimsim.ground.errors import InputError
from swimsim.ground.tables import data_folder
from swimsim.ground.toml_text import toml_text
from swimsim.scenario.models import Scenario
from swimsim.scenario.rates import tempo
from swimsim.scenario.read import BUILT_IN, read_scenario, scenario_names, to_toml
from swimsim.scenario.resolve import body_of, clean_pattern
from swimsim.scenario.schema import NAME, schema_text
from swimsim.scenario.targets import all_targets, to_si

FOLDER = data_folder("scenarios")
SCHEMA = jsonschema.Draft202012Validator(json.loads((data_folder("shared") / NAME).read_text()))
WRITTEN_DIGITS = 1e-6  # rates and speeds are written out with six decimals
FULL = {
    "title": "Everything",
    "seed": 3,
    "dimensions": 3,
    "swimmer": {"stature_m": 1.7, "mass_kg": 62.0, "sex": "woman", "body_table": "winter_dempster"},
    "stroke": {
        "preset": "masters_woman",
        "stroke_rate_per_min": 30.0,
        "speed_m_s": 1.0,
        "left_entry_line_m": 0.02,
        "elbow_at_entry_deg": 150.0,
    },
    "breathing": {"side": "right", "every": 3},
    "kick": {"beats": 4},
    "fault": [{"fault": "early_exit", "amount": -10.0, "unit": "cm", "side": "left"}],
    "camera": [
        {"view": "front", "travels": False, "refraction": "flat_port", "port_m": 0.02},
        {"position_m": [0.0, 5.0, -0.5], "aim_m": [0.0, 0.0, -0.2], "field_deg": 60.0},
    ],
    "figure": {
        "style": "stick", "skin": "brown", "cap": "yellow", "suit": "purple", "cut": "shorts",
        "build": "sturdy", "splash": True,
    },
    "output": {
        "views": ["front", "camera_1", "below"],
        "layout": "stacked",
        "theme": "dark",
        "size": [640, 720],
        "fps": 50,
        "seconds": 2.0,
        "slow": 1.0,
        "speeds": [1.0, 0.25],
        "mirror": True,
        "locked": False,
        "stick": False,
        "review": False,
        "forces": True,
    },
}  # fmt: skip


# ---- ready-to-run files


def test_there_is_one_file_for_each_fault_and_a_built_in_one():
    assert scenario_names()[0] == BUILT_IN
    assert set(faults()) <= set(scenario_names())
    for slug in faults():
        assert [f.fault for f in read_scenario(slug).fault] == [slug]


@pytest.mark.parametrize("name", scenario_names())
def test_ready_to_run_files_say_what_to_see_and_have_two_faults_at_most_or_a_linked_set(name):
    text = (FOLDER / f"{name}.toml").read_text(encoding="utf-8")
    first = text.split("\n", 1)[0]
    assert first.startswith("# See ")
    assert "invented" in first
    assert len(read_scenario(name).fault) <= (3 if "[[linked]]" in text else 2)


def test_the_built_in_scenario_is_the_open_water_swimmer():
    scenario = read_scenario()
    assert (scenario.swimmer.sex, scenario.swimmer.stature_m) == ("woman", 1.66)
    assert scenario.stroke.stroke_rate_per_min == 38
    assert (scenario.breathing.side, scenario.breathing.every) == ("left", 2)
    assert [(f.fault, f.side) for f in scenario.fault] == [("dropped_elbow", "left")]


# ---- written out and read again


@pytest.mark.parametrize(
    "source", [*scenario_names(), FULL, {}], ids=lambda s: s if isinstance(s, str) else "keys"
)
def test_a_resolved_scenario_reads_back_the_same_and_fits_the_schema(source):
    resolved = read_scenario(source)
    written = tomllib.loads(to_toml(resolved))
    SCHEMA.validate(written)
    again = read_scenario(written)
    assert again.model_dump() == resolved.model_dump()
    assert to_toml(again) == to_toml(resolved)
    assert None not in (again.swimmer.mass_kg, again.stroke.preset, again.stroke.speed_m_s, again.kick.beats)
    assert None not in (again.breathing.side, again.output.views, again.output.seconds, again.output.speeds)
    assert None not in again.figure.model_dump().values()


def test_every_key_of_the_picture_is_kept_as_it_was_given():
    written = tomllib.loads(to_toml(read_scenario(FULL)))
    assert {key: written["figure"][key] for key in FULL["figure"]} == FULL["figure"]
    assert {key: written["output"][key] for key in FULL["output"]} == FULL["output"]
    assert written["camera"][0] == FULL["camera"][0]
    assert set(FULL["output"]) == set(written["output"])
    assert set(FULL["figure"]) == set(written["figure"])


def test_the_published_schema_is_the_one_the_models_make():
    assert (data_folder("shared") / NAME).read_text(encoding="utf-8") == schema_text()
    jsonschema.Draft202012Validator.check_schema(SCHEMA.schema)


@given(
    st.dictionaries(
        st.from_regex(r"[a-z_]{1,8}", fullmatch=True),
        st.one_of(
            st.text(),
            st.integers(),
            st.floats(allow_nan=False, allow_infinity=False),
            st.booleans(),
            st.lists(st.integers()),
            st.dictionaries(st.from_regex(r"[a-z]{1,5}", fullmatch=True), st.text()),
            st.lists(
                st.dictionaries(st.from_regex(r"[a-z]{1,5}", fullmatch=True), st.floats(0, 1)), min_size=1
            ),
        ),
    )
)
def test_toml_text_reads_back(data):
    assert tomllib.loads(toml_text(data)) == data


# ---- rates and targets


@pytest.mark.parametrize(
    ("given_keys", "rate_hz", "speed"),
    [
        ({"stroke_rate_per_min": 30}, 0.5, None),
        ({"pace_s_per_100m": 80}, None, 1.25),
        ({"stroke_count": 20, "pool_length_m": 25, "stroke_rate_per_min": 40}, 40 / 60, 2.5 * 40 / 60),
        ({"stroke_count": 20, "pool_length_m": 25, "pace_s_per_100m": 80}, 0.5, 1.25),
        ({"stroke_count": 20, "pool_length_m": 25, "speed_m_s": 1.25}, 0.5, 1.25),
        ({"stroke_count": 20, "pool_length_m": 25, "speed_m_s": 1.25, "stroke_rate_per_min": 30}, 0.5, 1.25),
        ({"speed_m_s": 1.25, "pace_s_per_100m": 80}, None, 1.25),
    ],
)
def test_rate_and_speed_from_counts_and_paces(given_keys, rate_hz, speed):
    known = tempo(given_keys)
    for got, expected in ((known.rate_hz, rate_hz), (known.speed_m_s, speed)):
        assert got is expected is None or got == pytest.approx(expected, rel=ALGEBRA)


def test_a_stroke_count_alone_keeps_the_speed_of_the_preset():
    plain = read_scenario({})
    counted = read_scenario({"stroke": {"stroke_count": 20, "pool_length_m": 25.0}})
    assert counted.stroke.speed_m_s == plain.stroke.speed_m_s
    length = counted.stroke.speed_m_s / (counted.stroke.stroke_rate_per_min / 60)
    assert length == pytest.approx(2.5, abs=WRITTEN_DIGITS * 10)


def test_targets_in_degrees_and_radians_are_one():
    targets = all_targets()
    degrees = to_si({"forearm_slope_at_45_deg": 60.0})
    assert degrees["forearm_slope_at_45_rad"] == pytest.approx(1.0471975511965976, rel=ALGEBRA)
    assert to_si({"forearm_slope_at_45_rad": 1.0}) == {"forearm_slope_at_45_rad": 1.0}
    assert targets["entry_line_m"].scale == 1.0


def test_the_lag_between_the_arms_is_a_target():
    scenario = read_scenario({"stroke": {"arm_lag_share": 0.46}})
    assert clean_pattern(scenario, body_of(scenario)).arm_lag_share == 0.46
    with pytest.raises(
        InputError, match=r"stroke\.arm_lag_share: expected a number from 0.3 to 0.7, got 0.8"
    ):
        read_scenario({"stroke": {"arm_lag_share": 0.8}})


def test_one_arm_wins_over_both():
    scenario = read_scenario({"stroke": {"left_entry_line_m": 0.05, "entry_line_m": 0.01}})
    pattern = clean_pattern(scenario, body_of(scenario))
    assert (pattern.left.entry_line_m, pattern.right.entry_line_m) == (0.05, 0.01)


def test_left_handed_mirrors_the_preset_and_keeps_the_named_sides():
    keys = {"breathing": {"side": "left", "every": 2}, "stroke": {"left_entry_line_m": 0.05}}
    scenario = read_scenario({**keys, "swimmer": {"left_handed": True}})
    pattern = clean_pattern(scenario, body_of(scenario))
    assert (pattern.breathing_side, pattern.left.entry_line_m) == ("left", 0.05)


@pytest.mark.parametrize(
    ("keys", "expected"),
    [
        ({}, ("none", 0)),
        ({"side": "left"}, ("left", 2)),
        ({"every": 3}, ("left", 3)),
        ({"side": "none"}, ("none", 0)),
        ({"every": 0}, ("none", 0)),
        ({"side": "right", "every": 4}, ("right", 4)),
    ],
)
def test_breathing_defaults(keys, expected):
    breathing = read_scenario({"breathing": keys}).breathing
    assert (breathing.side, breathing.every) == expected


# ---- the picture


@pytest.mark.parametrize(
    ("keys", "speeds", "slow"),
    [
        ({}, [1.0, 0.5, 0.25, 1.0], 1.0),  # as swum, slow, slower, as swum again
        ({"slow": 0.5}, [0.5], 0.5),  # files from before: one plain stretch
        ({"seconds": 3.0}, [1.0], 1.0),
        ({"speeds": [0.5]}, [0.5], 0.5),
        ({"speeds": [1, 0.25], "seconds": 3.0}, [1.0, 0.25], 1.0),
        ({"speeds": [1, 0.25], "slow": 1.0}, [1.0, 0.25], 1.0),
        ({"speeds": [0.25], "slow": 0.25}, [0.25], 0.25),
    ],
)
def test_speeds_of_a_clip(keys, speeds, slow):
    output = read_scenario({"output": keys}).output
    assert (output.speeds, output.slow) == (speeds, slow)


def test_a_resolved_file_from_before_there_were_figures_and_speeds_still_gives_its_plain_clip():
    before = {
        "camera": [{"view": "front", "travels": False}],
        "output": {
            "views": ["side_left", "front"], "layout": "side_by_side", "theme": "light", "size": [1280, 720],
            "fps": 60, "seconds": 3.157895, "slow": 1.0,
        },
    }  # fmt: skip
    scenario = read_scenario(before)
    assert scenario.output.speeds == [1.0]
    assert (scenario.camera[0].refraction, scenario.camera[0].port_m) == ("none", None)
    assert {key: getattr(scenario.output, key) for key in before["output"]} == before["output"]


@pytest.mark.parametrize(
    ("swimmer", "cut", "build"),
    [
        ({"sex": "woman"}, "one_piece", "lean"),
        ({"sex": "man"}, "shorts", "lean"),
        ({"sex": "man", "stature_m": 2.0, "mass_kg": 99.0}, "shorts", "lean"),  # 24.75 kg/m2
        ({"sex": "woman", "stature_m": 2.0, "mass_kg": 100.0}, "one_piece", "sturdy"),  # 25 kg/m2
    ],
)
def test_suit_and_build_go_with_the_body_unless_they_are_given(swimmer, cut, build):
    figure = read_scenario({"swimmer": swimmer}).figure
    assert (figure.cut, figure.build) == (cut, build)
    own = read_scenario({"swimmer": swimmer, "figure": {"cut": "shorts", "build": "sturdy"}}).figure
    assert (own.cut, own.build) == ("shorts", "sturdy")


def test_the_flat_port_is_five_centimetres_ahead_of_the_lens_unless_given():
    cameras = [{"view": "front", "refraction": "flat_port"}, {"view": "above_side", "refraction": "surface"}]
    read = read_scenario({"camera": cameras}).camera
    assert [(c.refraction, c.port_m) for c in read] == [("flat_port", 0.05), ("surface", None)]


# ---- broken files

BROKEN = [
    (
        {"titel": "x"},
        r"titel: expected a known key of the top of the file, got 'titel'; did you mean 'title'",
    ),
    ({"title": ""}, "title: expected 1 to 120 characters, got ''"),
    ({"title": 3}, "title: expected text in quotes, got 3"),
    ({"seed": -1}, "seed: expected a whole number from 0 to"),
    ({"seed": 1.5}, "seed: expected a whole number"),
    ({"dimensions": 4}, "dimensions: expected 2 or 3, got 4"),
    ({"swimmer": 3}, "swimmer: expected a table, got 3"),
    ({"swimmer": {"statur_m": 1.7}}, r"swimmer\.statur_m: expected a known key of \[swimmer\].*'stature_m'"),
    ({"swimmer": {"stature_m": 170.0}}, r"swimmer\.stature_m: expected a number from 1.3 to 2.2, got 170"),
    ({"swimmer": {"stature_m": "1.7"}}, r"swimmer\.stature_m: expected a number from 1.3 to 2.2, got '1.7'"),
    ({"swimmer": {"stature_m": float("nan")}}, r"swimmer\.stature_m: expected a number"),
    ({"swimmer": {"stature_m": True}}, r"swimmer\.stature_m: expected a number from 1.3 to 2.2, got true"),
    ({"swimmer": {"sex": "male"}}, r"swimmer\.sex: expected woman or man, got 'male'"),
    ({"swimmer": {"stature_m": 1.5, "mass_kg": 150.0}}, "mass_kg: expected 31.5 to 90.0 kg for a stature"),
    ({"swimmer": {"body_table": "leva"}}, r"swimmer\.body_table: expected de_leva_1996 or winter_dempster"),
    ({"stroke": {"preset": "sprint"}}, r"stroke\.preset: expected sprint_man.*got 'sprint'; did you mean"),
    (
        {"stroke": {"stroke_rate_per_min": 300.0}},
        r"stroke\.stroke_rate_per_min: expected a number from 9 to 78",
    ),
    ({"stroke": {"forearm_slope_at45_deg": 60.0}}, "did you mean 'forearm_slope_at_45_deg'"),
    (
        {"stroke": {"forearm_slope_at_45_deg": 600.0}},
        r"stroke\.forearm_slope_at_45_deg: expected a number from 10 to 85",
    ),
    (
        {"stroke": {"forearm_slope_at_45_deg": 60.0, "forearm_slope_at_45_rad": 1.0}},
        "or forearm_slope_at_45_rad, got both",
    ),
    (
        {"stroke": {"speed_m_s": 1.2, "pace_s_per_100m": 60.0}},
        r"stroke\.speed_m_s: expected one speed, got 1.200 m/s and pace",
    ),
    (
        {"stroke": {"stroke_count": 10}},
        r"stroke\.pool_length_m: expected stroke_count and pool_length_m together",
    ),
    (
        {
            "stroke": {
                "stroke_rate_per_min": 40.0,
                "speed_m_s": 1.2,
                "stroke_count": 10,
                "pool_length_m": 25.0,
            }
        },
        r"expected one speed, got 1.200 m/s and stroke_count = 10 \(which with this rate is 3.333 m/s\)",
    ),
    ({"stroke": {"variability": "yes"}}, r"stroke\.variability: expected true or false, got 'yes'"),
    (
        {"breathing": {"side": "none", "every": 2}},
        r"breathing\.side: expected left or right with every = 2, got none",
    ),
    ({"breathing": {"side": "left", "every": 0}}, r"breathing\.every: expected 1, 2, 3, 4 or 6 with side"),
    ({"breathing": {"every": 5}}, r"breathing\.every: expected 0, 1, 2, 3, 4 or 6, got 5"),
    ({"kick": {"beats": 3}}, r"kick\.beats: expected 0, 2, 4 or 6, got 3"),
    ({"fault": {"fault": "crossover"}}, r"fault: expected a list in brackets"),
    ({"fault": [{"severity": 0.5}]}, r"fault\[1\]\.fault: expected a value, got none"),
    (
        {"fault": [{"fault": "dropped_elbw", "severity": 0.5}]},
        "got 'dropped_elbw'; did you mean 'dropped_elbow'",
    ),
    (
        {"fault": [{"fault": "crossover"}]},
        "expected exactly one of severity, amount and word, got none of them",
    ),
    (
        {"fault": [{"fault": "crossover", "severity": 0.5, "word": "clear"}]},
        "exactly one.*got severity and word",
    ),
    (
        {"fault": [{"fault": "crossover", "severity": 1.5}]},
        r"fault\[1\]\.severity: expected a number from 0 to 1",
    ),
    ({"fault": [{"fault": "crossover", "amount": -20.0}]}, "unit: expected amount and unit together"),
    (
        {"fault": [{"fault": "crossover", "amount": -20.0, "unit": "deg"}]},
        r"fault crossover: unit: expected one of cm, m, got 'deg'",
    ),
    ({"fault": [{"fault": "crossover", "word": "sligth"}]}, "got 'sligth'; did you mean 'slight'"),
    (
        {"fault": [{"fault": "crossover", "word": "clear", "side": "lefft"}]},
        r"fault\[1\]\.side: expected left, right or both",
    ),
    ({"camera": [{"view": "sid_left"}]}, r"camera\[1\]\.view: expected side_left.*did you mean 'side_left'"),
    (
        {"camera": [{"view": "front"}, {"view": "front"}]},
        "camera: expected each view once, got 'front' 2 times",
    ),
    ({"camera": [{"position_m": [1.0, 2.0]}]}, r"camera\[1\]\.position_m: expected 3 values"),
    ({"camera": [{"position_m": [1.0, 2.0, 3.0], "field_deg": 60.0}]}, "got no aim_m"),
    (
        {"camera": [{"position_m": [1.0, 2.0, 3.0], "aim_m": [1.0, 2.0, 3.0], "field_deg": 60.0}]},
        "aim_m: expected a point other",
    ),
    ({"camera": [{"view": "front", "field_deg": 60.0}]}, "got both"),
    ({"output": {"views": "front"}}, r"output\.views: expected a list"),
    (
        {"output": {"views": ["frnt"]}},
        r"output\.views: expected known views or camera_1, got 'frnt'; did you mean 'front'",
    ),
    ({"output": {"views": ["front", "front"]}}, r"output\.views: expected each view once"),
    ({"output": {"views": ["camera_1"]}}, r"output\.views: expected a camera of this file, got 'camera_1'"),
    ({"output": {"size": [1281, 720]}}, r"output\.size: expected even numbers of pixels"),
    ({"output": {"size": [200, 200]}}, r"output\.size: expected at least 320 by 180 pixels"),
    ({"output": {"size": [1280]}}, r"output\.size: expected 2 values"),
    ({"output": {"fps": 10}}, r"output\.fps: expected a whole number from 25 to 240, got 10"),
    (
        {"output": {"theme": "drak"}},
        r"output\.theme: expected light or dark, got 'drak'; did you mean 'dark'",
    ),
    ({"output": {"slow": 3.0}}, r"output\.slow: expected a number from 0.05 to 1, got 3"),
    ({"output": {"speeds": []}}, r"output\.speeds: expected 1 to 8 values, got \[\]"),
    ({"output": {"speeds": [1.0, 2.0]}}, r"output\.speeds\[2\]: expected a number from 0.05 to 1, got 2"),
    (
        {"output": {"speeds": [1.0, 0.5], "slow": 0.5}},
        r"output\.slow: expected slow or speeds, got both \(slow = 0.5, speeds = \[1, 0.5\]\)",
    ),
    (
        {"output": {"layout": "gost"}},
        r"output\.layout: expected side_by_side, .* or ghost, got 'gost'; did you mean 'ghost'",
    ),
    ({"output": {"mirror": "yes"}}, r"output\.mirror: expected true or false, got 'yes'"),
    ({"output": {"miror": True}}, r"output\.miror: expected a known key of \[output\].*'mirror'"),
    ({"figure": {"style": "stik"}}, r"figure\.style: expected solid or stick, got 'stik'; did you mean"),
    (
        {"figure": {"skin": "blue"}},
        r"figure\.skin: expected pale, light, olive, brown or dark, got 'blue'",
    ),
    ({"figure": {"splash": 1}}, r"figure\.splash: expected true or false, got 1"),
    ({"figure": {"hat": "white"}}, r"figure\.hat: expected a known key of \[figure\], got 'hat'"),
    (
        {"camera": [{"view": "front", "refraction": "flatport"}]},
        r"camera\[1\]\.refraction: expected none, flat_port or surface, got 'flatport'; did you mean 'flat_port'",
    ),
    (
        {"camera": [{"view": "front", "refraction": "surface"}]},
        r"camera\[1\]\.refraction: expected none or flat_port for a camera under water, got 'surface', which is "
        "for a camera in the air",
    ),
    (
        {"camera": [{"view": "overhead", "refraction": "flat_port"}]},
        r"camera\[1\]\.refraction: expected none or surface for a camera in the air, got 'flat_port'",
    ),
    (
        {
            "camera": [
                {
                    "position_m": [0.0, 4.0, -1.0],
                    "aim_m": [0.0, 0.0, 0.0],
                    "field_deg": 60.0,
                    "refraction": "surface",
                }
            ]
        },
        "for a camera under water, got 'surface'",
    ),
    (
        {"camera": [{"view": "front", "port_m": 0.02}]},
        r"camera\[1\]\.port_m: expected refraction = 'flat_port' with it, got 'none'",
    ),
    (
        {"camera": [{"view": "front", "refraction": "flat_port", "port_m": 2.0}]},
        r"camera\[1\]\.port_m: expected a number from 0.001 to 0.5, got 2",
    ),
]


@pytest.mark.parametrize(("keys", "match"), BROKEN, ids=[str(keys)[:60] for keys, _ in BROKEN])
def test_a_broken_scenario_gives_one_clear_line(keys, match):
    with pytest.raises(InputError, match=match) as caught:
        read_scenario(keys)
    assert all(line.startswith("scenario: ") for line in str(caught.value).split("\n"))


def test_all_that_is_wrong_is_said_at_once(tmp_path):
    file = tmp_path / "broken.toml"
    file.write_text(
        'titel = "x"\nseed = -1\n[swimmer]\nsex = "femal"\nstature_m = 3\n[[fault]]\nfault = "crosover"\n'
        'severity = 2\n[kick]\nbeats = 3\n[output]\nfps = 1\nviews = ["frnt"]\nsize = [321, 180]\n'
        '[figure]\ncap = "red"\n[[camera]]\nview = "below"\nrefraction = "surface"\n'
    )
    with pytest.raises(InputError, match="titel") as caught:
        read_scenario(file)
    lines = str(caught.value).split("\n")
    assert len(lines) == 12
    assert all(line.startswith(f"{file}: ") for line in lines)


@pytest.mark.parametrize(
    ("data", "match"),
    [
        (b"title = ", "expected TOML.*line 1"),
        (b"a = 1\na = 2\n", "expected TOML.*line 2"),
        (b"\xff\xfe", "expected text in UTF-8"),
        (b"[[fault]\n", "expected TOML"),
        (b"a = " + b"[" * 5000, "expected"),
    ],
)
def test_a_file_that_is_no_toml(tmp_path, data, match):
    (tmp_path / "x.toml").write_bytes(data)
    with pytest.raises(InputError, match=match):
        read_scenario(tmp_path / "x.toml")


def test_a_file_that_is_not_there():
    with pytest.raises(InputError, match=r"wide_enty: expected a scenario file.*did you mean 'wide_entry'"):
        read_scenario("wide_enty")
    with pytest.raises(InputError, match="expected a scenario file, got a folder"):
        read_scenario(Path(__file__).parent)


def test_a_file_that_is_not_there_is_like_one_beside_it_or_like_none(tmp_path):
    (tmp_path / "swimmer_one.toml").write_text("")
    with pytest.raises(InputError, match=r"swimer_one\.toml: .*did you mean 'swimmer_one\.toml'"):
        read_scenario(tmp_path / "swimer_one.toml")
    with pytest.raises(InputError, match=r"xyz\.toml: .*got neither; there is no such file$"):
        read_scenario(tmp_path / "xyz.toml")


def test_a_large_bound_is_said_in_all_its_digits():
    with pytest.raises(
        InputError, match=r"swimmer\.clean: expected a whole number from 0 to 2147483647, got -1"
    ):
        read_scenario({"swimmer": {"clean": -1}})


@settings(max_examples=60)
@given(st.data())
def test_any_single_change_gives_a_scenario_or_one_clear_error(data):
    keys = copy.deepcopy(FULL)
    table = data.draw(
        st.sampled_from([keys, *(v for v in keys.values() if isinstance(v, dict)), keys["fault"][0]])
    )
    key = data.draw(st.sampled_from([*table, "extra"]))
    scalar = st.one_of(
        st.integers(-5, 5), st.floats(-500, 500), st.text(max_size=5), st.booleans(), st.none()
    )
    table[key] = data.draw(
        st.one_of(scalar, st.lists(scalar, max_size=3), st.dictionaries(st.text(max_size=3), scalar))
    )
    try:
        assert isinstance(read_scenario(keys), Scenario)
    except InputError as error:
        assert str(error).startswith("scenario: ")


@given(st.text(max_size=200))
def test_any_text_gives_a_scenario_or_one_clear_error(tmp_path_factory, text):
    file = tmp_path_factory.mktemp("any") / "x.toml"
    file.write_text(text, encoding="utf-8", errors="replace")
    try:
        assert isinstance(read_scenario(file), Scenario)
    except InputError as error:
        assert "x.toml" in str(error)


def test_the_schema_refuses_what_the_reader_refuses():
    SCHEMA.validate(FULL)
    unsized, unplaced = {"fault": [{"fault": "crossover"}]}, {"camera": [{"field_deg": 60.0}]}
    for keys in [*(keys for keys, _ in BROKEN[:14]), unsized, unplaced]:
        if "mass_kg" not in str(keys) and "nan" not in str(keys):
            assert list(SCHEMA.iter_errors(keys)), keys
