"""SECOND METHOD: vectors against numpy, curves against a null-space solution, traces against their parts."""

import numpy as np
import pytest
from tolerances import ALGEBRA, FINE_SUM

from swimsim.motion import kinematics, vectors
from swimsim.motion.solve import solve
from swimsim.motion.splines import basis_rows, least_jerk_map
from swimsim.stroke.presets import make_pattern
from swimsim.swimmer.anthropometry import make_body


@pytest.fixture
def pair():
    return np.random.default_rng(5).normal(size=(2, 3, 4, 7))


def test_products_are_those_of_numpy(pair):
    a, b = pair
    np.testing.assert_allclose(vectors.cross(a, b), np.cross(a, b, axis=0), atol=ALGEBRA, rtol=0)
    np.testing.assert_allclose(vectors.dot(a, b), np.einsum("i...,i...", a, b), atol=ALGEBRA, rtol=0)


def test_unit_and_square_vectors(pair):
    a, b = pair
    way = vectors.unit(b)
    square = vectors.square_to(a, way)
    np.testing.assert_allclose(np.linalg.norm(square, axis=0), 1, atol=ALGEBRA)
    np.testing.assert_allclose((square * way).sum(0), 0, atol=ALGEBRA)
    assert ((square * a).sum(0) > 0).all()


def test_a_vector_is_filled_from_arrays_and_numbers():
    found = vectors.vector(np.array([1.0, 2.0]), 0.5, np.array([3.0, 4.0]), shape=(2,))
    assert found.tolist() == [[1.0, 2.0], [0.5, 0.5], [3.0, 4.0]]


@pytest.mark.parametrize("count", [0, 1, kinematics.CHUNK, 2 * kinematics.CHUNK + 1])
def test_a_trace_is_the_same_in_parts(count):
    body = make_body(1.8, sex="man")
    motion = solve(make_pattern("pace400_man", body), body)
    times = np.random.default_rng(3).uniform(0, 60, count)
    whole = motion.joints(times)
    assert whole.shape == (count, 32, 3)
    picked = np.arange(count)[:: max(count // 5, 1)]
    alone = [motion.joints(times[i : i + 1])[0] for i in picked]
    np.testing.assert_allclose(whole[picked], np.reshape(alone, (-1, 32, 3)), atol=ALGEBRA, rtol=0)


def test_least_jerk_curve_against_a_dense_solver():
    """The least third derivative by least squares on a null space, with the integral as a fine sum."""
    value_at, slope_at, period = np.array([0.0, 0.12, 0.3, 0.55, 0.8]), np.array([0.3]), 1
    found = least_jerk_map(value_at, period, slope_at=slope_at)
    given = np.concatenate([basis_rows(value_at, period), basis_rows(slope_at, period, derivative=1)])
    fine = (np.arange(40 * 50) + 0.5) / (40 * 50)
    jerk = basis_rows(fine, period, derivative=3)
    free = np.linalg.svd(given)[2][len(given) :].T
    np.testing.assert_allclose(given @ found, np.eye(len(given)), atol=ALGEBRA)
    # No allowed change of the curve lowers the jerk: the slope of the cost is 0.
    slope = (jerk @ free).T @ (jerk @ found)
    assert np.abs(slope).max() < FINE_SUM * np.abs(jerk.T @ jerk).max()
