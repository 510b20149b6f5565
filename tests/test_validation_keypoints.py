"""SECOND METHOD (pycocotools) and closed forms: errors of points, OKS and AP."""

import numpy as np
import pytest
from test_validation_statistics import ROWS, near
from tolerances import ALGEBRA

from swimsim.validation.keypoints import COCO, SIGMAS, average_precision, oks, score_points

params = pytest.importorskip("pycocotools.cocoeval").Params


def people(count=5, seed=0):
    """True points of people, shape (count, 17, 2). [px]"""
    return np.random.default_rng(seed).uniform(100, 250, (count, 17, 2))


def moved_to(true, wanted, seed=1):
    """Every point moved in a chance direction as far as makes the OKS `wanted`, by the closed form."""
    area = np.prod(true.max(axis=1) - true.min(axis=1), axis=-1)
    way = np.random.default_rng(seed).uniform(0, 2 * np.pi, true.shape[:2])
    off = 2 * SIGMAS * np.sqrt(-2 * np.log(wanted) * area)[:, None]
    return true + off[..., None] * np.stack([np.cos(way), np.sin(way)], axis=-1)


def test_the_sigmas_are_those_of_the_library():
    assert params(iouType="keypoints").kpt_oks_sigmas == pytest.approx(SIGMAS, abs=ALGEBRA)
    near("COCO-sigma-wrist", SIGMAS[COCO.index("left_wrist")])


def test_points_moved_to_a_similarity_have_it():
    true = people()
    for value in oks(true, moved_to(true, 0.82)):
        near("COCO-oks", value)


def test_ap_counts_the_thresholds_that_are_passed():
    """0.82 passes 0.50, 0.55 ... 0.80: seven of ten."""
    true = people()
    ap, ap50 = average_precision(true, moved_to(true, 0.82))
    near("COCO-ap", ap)
    near("COCO-ap50", ap50)
    assert float(ROWS["COCO-ap"]["expected"]) == 0.7


def test_perfect_points_are_perfect():
    true = people()
    score = score_points(true, true, names=COCO, cm_per_px=0.2)
    assert (score.median_px, score.oks, score.ap, score.given) == (0, 1, pytest.approx(1), 1)


def test_a_point_that_is_not_given_counts_as_lost_in_oks_and_not_in_the_error():
    true = people()
    found = true + np.array([3.0, 4.0])  # 5 px each
    found[:, COCO.index("left_wrist")] = np.nan
    score = score_points(true, found, names=COCO, cm_per_px=0.2)
    assert (score.median_px, score.p95_px, score.median_cm) == pytest.approx((5, 5, 1))
    assert score.given == pytest.approx(16 / 17)
    whole = score_points(true, true + np.array([3.0, 4.0]), names=COCO, cm_per_px=0.2)
    lost = np.exp(-25 / (2 * np.prod(np.ptp(true, axis=1), axis=-1) * (2 * 0.062) ** 2)).mean() / 17
    assert score.oks == pytest.approx(whole.oks - lost)


def test_names_may_stand_in_another_order_with_others_between():
    true = people()
    names = ("chin", *reversed(COCO))
    both = np.concatenate([np.full((5, 1, 2), 7.0), true[:, ::-1]], axis=1)
    found = both + 1.0
    assert score_points(both, found, names=names, cm_per_px=1).oks == pytest.approx(
        oks(true, true + 1.0).mean()
    )
