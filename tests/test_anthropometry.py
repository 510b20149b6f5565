"""PUBLISHED: body tables against printed values of de Leva 1996, Winter 2005 and Drillis and Contini 1966.

Expected numbers stand here as printed or as hand arithmetic on printed numbers; the code reads `shared/`.
INVARIANT and ROUND TRIP tests follow at the end.
"""

import math
import pickle
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tolerances import ALGEBRA, printed

from swimsim.ground.errors import InputError
from swimsim.ground.tables import read_csv
from swimsim.swimmer.anthropometry import BODY_TABLES, SEXES, default_mass, make_body
from swimsim.swimmer.segments import joined_radii, table_row

MEAN = {"man": (1.741, 73.0), "woman": (1.735, 61.9)}  # de Leva 1996, the people measured

# Four-digit shares times a stature near 1.74 m: half a unit of the fourth digit is 0.09 mm, and the printed
# lengths in mm carry half a unit of their own, 0.05 mm.
LENGTH_M = 0.00014


def mean_body(sex, table="de_leva_1996"):
    stature, mass = MEAN[sex]
    return make_body(stature, mass_kg=mass, sex=sex, body_table=table)


def rows(table, **wanted):
    return [row for row in read_csv(table) if all(row[key] == value for key, value in wanted.items())]


# ---- de Leva 1996, the printed table


@pytest.mark.parametrize(("letter", "expected"), [("M", "1.0000"), ("F", "0.9999")])
def test_printed_mass_shares_add_up_to_the_body(letter, expected):
    alone = {"Head", "Trunk"}
    parts = {"Upper_trunk", "Middle_trunk", "Lower_trunk"}
    total = sum(
        float(row["mass_frac"]) * (1 if row["segment"] in alone else 2)
        for row in rows("de_leva_1996", set="main", sex=letter)
        if row["segment"] not in parts
    )
    assert total == pytest.approx(float(expected), abs=ALGEBRA)


@pytest.mark.parametrize(("sex", "mass", "length_mm"), [("man", "0.4346", 531.9), ("woman", "0.4257", 529.3)])
def test_trunk_is_the_sum_of_its_parts(sex, mass, length_mm):
    parts = [
        table_row("de_leva_1996", name=f"{part}_trunk", sex=sex) for part in ("Upper", "Middle", "Lower")
    ]
    assert sum(float(row["mass_frac"]) for row in parts) == pytest.approx(float(mass), abs=printed(mass))
    # three printed lengths, each good to half a tenth of a millimetre
    assert sum(float(row["length_mm"]) for row in parts) == pytest.approx(length_mm, abs=3 * printed("0.1"))


@pytest.mark.parametrize(
    ("sex", "expected", "within"),
    [
        # known misfit of the printed male table: 0.4541 from the parts, 0.4486 printed
        ("man", 0.4486, 0.006),
        # the part lengths enter as four-digit shares of stature, which move the centre by up to as much again
        ("woman", 0.4151, 2 * printed("0.4151")),
    ],
)
def test_trunk_centre_from_its_parts(sex, expected, within):
    segments, above, moment, mass = mean_body(sex).segments, 0.0, 0.0, 0.0
    for name in ("upper_trunk", "middle_trunk", "lower_trunk"):
        part = segments[name]
        moment += part.mass_kg * (above + part.centre_fraction * part.length_m)
        mass += part.mass_kg
        above += part.length_m
    assert moment / mass / above == pytest.approx(expected, abs=within)


@pytest.mark.parametrize(("sex", "radii"), [("man", (0.372, 0.347, 0.191)), ("woman", (0.357, 0.339, 0.171))])
def test_joined_parts_give_the_printed_radii_of_the_whole_trunk(sex, radii):
    joined = joined_radii(["Upper_trunk", "Middle_trunk", "Lower_trunk"], sex=sex)
    length = {"man": 0.3055, "woman": 0.3051}[sex]
    assert joined / length == pytest.approx(np.array(radii), abs=printed("0.372"))


@pytest.mark.parametrize(("sex", "expected_mm"), [("man", 54.1), ("woman", 41.45)])
def test_hand_radius_does_not_depend_on_the_endpoints(sex, expected_mm):
    # published as 54.1 mm and 41.4-41.5 mm; a radius of three digits on 190 mm carries 0.1 mm
    for name in ("Hand", "Hand2", "Hand3", "Hand4"):
        row = table_row("de_leva_1996", name=name, sex=sex)
        assert float(row["rg_sag"]) * float(row["length_mm"]) == pytest.approx(expected_mm, abs=0.1)


@pytest.mark.parametrize(("sex", "expected_mm"), [("man", "68.1"), ("woman", "58.3")])
def test_hand_centre_past_the_wrist(sex, expected_mm):
    for name in ("Hand", "Hand2"):
        row = table_row("de_leva_1996", name=name, sex=sex)
        past = float(row["cm_frac"]) * float(row["length_mm"])
        assert past == pytest.approx(float(expected_mm), abs=printed(expected_mm))


# ---- de Leva 1996, the body that is made from it


@pytest.mark.parametrize(
    ("segment", "mass", "inertia"),
    [
        ("upper_arm", "1.9783", "0.011360"),
        ("forearm", "1.1826", "0.006005"),
        ("hand", "0.4453", "0.000868"),
        ("thigh", "10.3368", "0.199441"),
        ("shank", "3.1609", "0.036914"),
    ],
)
def test_mean_man_masses_and_inertias(segment, mass, inertia):
    part = mean_body("man").segments[segment]
    assert part.mass_kg == pytest.approx(float(mass), abs=printed(mass))
    # the package has lengths as four-digit shares of stature, the expected value used printed millimetres:
    # the share of the hand, 0.0495, is good to 0.1 % and enters squared
    relative = 2 * (LENGTH_M / part.length_m)
    assert part.inertia_kg_m2[1] == pytest.approx(float(inertia), rel=relative, abs=printed(inertia))


def test_inertia_axes_are_front_back_then_left_right_then_long():
    radii_of_the_upper_arm = np.array([0.285, 0.269, 0.158])
    part = mean_body("man").segments["upper_arm"]
    assert np.sqrt(np.array(part.inertia_kg_m2) / part.mass_kg) / part.length_m == pytest.approx(
        radii_of_the_upper_arm, abs=ALGEBRA
    )


@pytest.mark.parametrize(
    ("name", "man_mm", "woman_mm"),
    [
        ("upper_arm_m", 281.7, 275.1),
        ("forearm_m", 268.9, 264.3),
        ("hand_to_knuckles_m", 86.2, 78.0),
        ("hand_to_fingertip_m", 187.9, 170.1),
        ("trunk_m", 515.5, 497.9),
        ("head_m", 242.9, 243.7),
        ("neck_m", 603.3 - 515.5, 614.8 - 497.9),
        ("thigh_m", 422.2, 368.5),
        ("shank_m", 434.0, 432.3),
        ("foot_m", 258.1, 228.3),
    ],
)
def test_mean_people_have_the_printed_lengths(name, man_mm, woman_mm):
    # a difference of two printed lengths carries both roundings
    within = LENGTH_M * (2 if name == "neck_m" else 1)
    assert getattr(mean_body("man"), name) == pytest.approx(man_mm / 1000, abs=within)
    assert getattr(mean_body("woman"), name) == pytest.approx(woman_mm / 1000, abs=within)


@pytest.mark.parametrize(
    ("share", "segment"), [("0.1168", "head"), ("0.2425", "thigh"), ("0.2493", "shank"), ("0.1482", "foot")]
)
def test_male_lengths_confirmed_by_a_third_transcription(share, segment):
    part = mean_body("man").segments[segment]
    assert part.length_m / 1.741 == pytest.approx(float(share), abs=printed(share))


def test_default_mass_is_that_of_the_people_measured():
    for sex, (stature, mass) in MEAN.items():
        assert make_body(stature, sex=sex).mass_kg == pytest.approx(mass, abs=ALGEBRA * mass)


# ---- Winter 2005 and Drillis and Contini 1966


def test_heights_give_the_lengths_of_thigh_shank_and_trunk():
    heights = {
        row["quantity"]: float(row["fraction_of_H"]) for row in rows("drillis_contini_lengths", kind="height")
    }
    body = make_body(1.0 * 1.8, body_table="winter_dempster")
    for upper, lower, printed_share, made in (
        ("shoulder", "hip", "0.288", body.trunk_m),
        ("hip", "knee", "0.245", body.thigh_m),
        ("knee", "ankle", "0.246", body.shank_m),
    ):
        assert heights[upper] - heights[lower] == pytest.approx(float(printed_share), abs=ALGEBRA)
        assert made / 1.8 == pytest.approx(float(printed_share), abs=ALGEBRA)


def test_reach_with_the_arms_overhead():
    body = make_body(1.80, body_table="winter_dempster")
    reach = 0.818 * 1.80 + body.upper_arm_m + body.forearm_m + body.hand_to_fingertip_m
    assert reach == pytest.approx(2.264, abs=printed("2.264"))  # 1.258 of stature


def test_standing_height_closes_in_the_drillis_contini_body():
    body = make_body(1.80, body_table="winter_dempster")
    chain = body.ankle_height_m + body.shank_m + body.thigh_m + body.trunk_m + body.neck_m + body.head_m
    assert chain == pytest.approx(1.80, abs=ALGEBRA * 10)


def test_winter_masses_add_up_and_give_the_whole_body_density():
    table = {row["segment"]: row for row in read_csv("dempster_winter_segments")}
    twice = ("Hand", "Forearm", "Upper_arm", "Foot", "Leg", "Thigh")
    parts = [(2, table[name]) for name in twice] + [(1, table["Head_neck"]), (1, table["Trunk"])]
    assert sum(n * float(row["mass_frac"]) for n, row in parts) == pytest.approx(1.0, abs=ALGEBRA)
    volume = sum(n * float(row["mass_frac"]) / float(row["density_kg_per_L"]) for n, row in parts)
    assert 1 / volume == pytest.approx(1.0541, abs=printed("1.0541"))


def test_winter_thorax_and_abdomen_give_the_printed_trunk_centre():
    segments = make_body(1.80, body_table="winter_dempster").segments
    low, high = segments["abdomen_pelvis"], segments["thorax"]
    over_hip = {
        "low": (1 - low.centre_fraction) * low.length_m,
        "high": low.length_m + (1 - high.centre_fraction) * high.length_m,
    }
    centre = (low.mass_kg * over_hip["low"] + high.mass_kg * over_hip["high"]) / (low.mass_kg + high.mass_kg)
    assert centre / (0.288 * 1.80) == pytest.approx(0.5, abs=printed("0.500"))


def test_winter_limb_radii_are_the_printed_ones():
    for name, rg in (("upper_arm", 0.322), ("forearm", 0.303), ("thigh", 0.323), ("shank", 0.302)):
        part = make_body(1.80, body_table="winter_dempster").segments[name]
        for axis in (0, 1):
            radius = math.sqrt(part.inertia_kg_m2[axis] / part.mass_kg)
            assert radius / part.length_m == pytest.approx(rg, abs=ALGEBRA)


def test_the_two_tables_are_not_mixed():
    """The de Leva upper arm joins joint centres (0.162 of stature), the other one is 0.186."""
    assert make_body(2.0).upper_arm_m / 2.0 == pytest.approx(0.1618, abs=ALGEBRA)
    assert make_body(2.0, body_table="winter_dempster").upper_arm_m / 2.0 == pytest.approx(0.186, abs=ALGEBRA)


# ---- centre of buoyancy: McLean and Hinrichs 1998, men 0.79 +- 0.43 cm ahead of the mass centre


def buoyancy_ahead_of_mass_cm(body, trunk_density=None):
    """Centre of volume less centre of mass along the body, arms overhead. [cm]"""
    part = body.segments
    hip = body.ankle_height_m + part["shank"].length_m + part["thigh"].length_m
    starts = {"head": (body.stature_m, -1), "foot": (0.02 * body.stature_m, 0)}
    level = hip
    for name in ("lower_trunk", "middle_trunk", "upper_trunk"):
        level += part[name].length_m
        starts[name] = (level, -1)
    starts["thigh"], starts["shank"] = (hip, -1), (hip - part["thigh"].length_m, -1)
    level = hip + body.trunk_m
    for name in ("upper_arm", "forearm", "hand"):
        starts[name] = (level, 1)
        level += part[name].length_m
    mass = {name: part[name].count * part[name].mass_kg for name in part}
    volume = {
        name: mass[name] / (trunk_density if trunk_density and "trunk" in name else part[name].density_kg_m3)
        for name in part
    }
    place = {n: z + way * part[n].centre_fraction * part[n].length_m for n, (z, way) in starts.items()}

    def centre(weight):
        return sum(weight[n] * place[n] for n in part) / sum(weight.values())

    return 100 * (centre(volume) - centre(mass))


def test_centre_of_buoyancy_lies_ahead_of_the_centre_of_mass():
    assert 0.36 <= buoyancy_ahead_of_mass_cm(mean_body("man")) <= 1.22


def test_one_uniform_trunk_density_loses_the_leg_sinking_torque():
    assert buoyancy_ahead_of_mass_cm(mean_body("man"), trunk_density=1030.0) < 0.1


def test_whole_body_density_of_the_mean_man():
    """Hand arithmetic on printed shares and densities, thorax 0.92: 1/0.97222 = 1.0286 kg/L."""
    assert mean_body("man").density_kg_m3 / 1000 == pytest.approx(1.0286, abs=printed("1.0286"))


# ---- refusals


@pytest.mark.parametrize("stature", [1.29, 2.21, 0.0, -1.8, math.nan, math.inf, "1.80", None, True])
def test_stature_out_of_range_names_the_range(stature):
    with pytest.raises(InputError, match=re.escape(f"stature_m: expected 1.30 to 2.20 m, got {stature!r}")):
        make_body(stature)


def test_stature_in_centimetres_is_recognised():
    with pytest.raises(InputError, match=r"got 180; was it given in centimetres\?"):
        make_body(180)


@pytest.mark.parametrize("mass", [45.3, 129.7, math.nan, "75"])
def test_mass_out_of_range_names_the_range(mass):
    # 14 x 1.8^2 = 45.4 and 40 x 1.8^2 = 129.6
    with pytest.raises(InputError, match=r"mass_kg: expected 45\.4 to 129\.6 kg .* index 14 to 40 kg/m2"):
        make_body(1.80, mass_kg=mass)


def test_all_problems_come_in_one_text():
    with pytest.raises(
        InputError, match=r"(?s)sex: .*did you mean 'woman'.*body_table: .*de_leva.*stature_m: "
    ):
        make_body(3.0, sex="women", body_table="de_leva")


# ---- INVARIANT

any_body = st.builds(
    make_body,
    st.floats(1.30, 2.20),
    sex=st.sampled_from(SEXES),
    body_table=st.sampled_from(BODY_TABLES),
)


@given(any_body)
def test_segment_masses_add_up_to_the_body_mass(body):
    total = sum(part.count * part.mass_kg for part in body.segments.values())
    assert total == pytest.approx(body.mass_kg, rel=ALGEBRA)


@given(any_body)
def test_every_body_is_finite_and_physical(body):
    assert all(0 < value < body.stature_m or name == "stature_m" or name == "ear_forward_m"
               for name, value in body.lengths_m.items())  # fmt: skip
    assert body.heel_back_m + body.toe_forward_m == pytest.approx(body.foot_m, rel=ALGEBRA)
    assert body.hand_to_knuckles_m < body.thumb_along_m < body.hand_to_fingertip_m
    for width, outer in (("shoulder_width_m", "biacromial_m"), ("hip_width_m", "hip_breadth_m")):
        assert body.lengths_m[width] < body.lengths_m[outer]
    for part in body.segments.values():
        first, second, third = sorted(part.inertia_kg_m2)
        assert first > 0 and third <= first + second  # no rigid body breaks this


@given(stature=st.floats(1.30, 2.20), sex=st.sampled_from(SEXES), table=st.sampled_from(BODY_TABLES))
def test_lengths_grow_with_stature_and_inertia_with_its_fourth_power(stature, sex, table):
    """At one body mass index mass goes with stature squared, so inertia goes with stature to the fourth."""
    unit = make_body(1.50, sex=sex, body_table=table)
    body = make_body(stature, sex=sex, body_table=table)
    ratio = stature / 1.50
    for name, length in unit.lengths_m.items():
        assert body.lengths_m[name] == pytest.approx(length * ratio, rel=ALGEBRA)
    for name, part in unit.segments.items():
        grown = np.array(part.inertia_kg_m2) * ratio**4
        assert np.array(body.segments[name].inertia_kg_m2) == pytest.approx(grown, rel=ALGEBRA)


@given(mass=st.floats(50.0, 120.0))
def test_mass_changes_no_length_and_scales_inertia(mass):
    body, other = make_body(1.80, mass_kg=60.0), make_body(1.80, mass_kg=mass)
    assert body.lengths_m == other.lengths_m
    for name, part in body.segments.items():
        scaled = np.array(part.inertia_kg_m2) * mass / 60.0
        assert np.array(other.segments[name].inertia_kg_m2) == pytest.approx(scaled, rel=ALGEBRA)


@pytest.mark.parametrize("sex", SEXES)
def test_default_mass_has_the_mean_body_mass_index(sex):
    # 73.0/1.741^2 = 24.1 and 61.9/1.735^2 = 20.6
    expected = {"man": "24.1", "woman": "20.6"}[sex]
    assert default_mass(1.60, sex=sex) / 1.60**2 == pytest.approx(float(expected), abs=printed(expected))


@pytest.mark.parametrize("table", BODY_TABLES)
def test_body_survives_pickling_and_hashing(table):
    """ROUND TRIP: workers in other processes get the same body."""
    body = make_body(1.66, sex="woman", body_table=table)
    again = pickle.loads(pickle.dumps(body))
    assert again == body and hash(again) == hash(body)


@pytest.mark.parametrize(
    "table", ["body_lengths", "drillis_contini_lengths", "segment_density_alternatives", "mean_subjects"]
)
def test_every_row_says_how_far_it_can_be_trusted(table):
    assert {row["flag"] for row in read_csv(table)} <= {"read", "derived", "memory", "practice"}


def test_second_density_set_agrees_with_the_first():
    """Drillis-Contini type densities against Winter's, the largest gap is the thigh, 1.089 and 1.05."""
    names = {"Shank": "Leg"}
    for row in read_csv("segment_density_alternatives"):
        name = names.get(row["segment"], row["segment"])
        other = table_row("dempster_winter_segments", name=name)["density_kg_per_L"]
        assert abs(float(row["density_kg_per_L"]) - float(other)) <= 0.0391
