"""Points found in pictures against true ones: error in pixels and in cm, and the COCO measures OKS and AP.

OKS is the mean over points of exp(-d^2 / (2 area (2 sigma)^2)) with the sigmas of COCO; the area is that of the box
about the true points. AP is the mean over OKS thresholds 0.50 to 0.95, by pycocotools, one swimmer in each picture. A
point that was not given counts as infinitely far in OKS and AP; the errors are over the points that were given.
"""

from __future__ import annotations

import contextlib
import io
from dataclasses import dataclass

import numpy as np

from .detection import extra

#: COCO order with our names.
COCO = (
    "nose", "left_eye", "right_eye", "left_ear", "right_ear", "left_shoulder", "right_shoulder", "left_elbow",
    "right_elbow", "left_wrist", "right_wrist", "left_hip", "right_hip", "left_knee", "right_knee", "left_ankle",
    "right_ankle",
)  # fmt: skip
SIGMAS = np.array(
    [.026, .025, .025, .035, .035, .079, .079, .072, .072, .062, .062, .107, .107, .087, .087, .089, .089]
)  # fmt: skip
_FAR_PX = 1e6


@dataclass(frozen=True)
class PointScore:
    """Errors of the points that were given, share given, mean OKS over pictures, AP and AP at OKS 0.5."""

    median_px: float
    p95_px: float
    median_cm: float
    given: float
    oks: float
    ap: float
    ap50: float


def score_points(
    true_px: np.ndarray, found_px: np.ndarray, *, names: tuple[str, ...], cm_per_px: float
) -> PointScore:
    """Scores of one clip.

    Parameters
    ----------
    true_px, found_px : numpy.ndarray, shape (n_frames, n_joints, 2)
        NaN in `found_px` where a point was not given. [px]
    names : tuple of str
        Of the joints; all those of COCO must be there.
    cm_per_px : float
        Size of a pixel at the swimmer. [cm]
    """
    error = np.linalg.norm(found_px - true_px, axis=-1)
    given = np.isfinite(error)
    rows = [names.index(name) for name in COCO]
    true, found = true_px[:, rows], found_px[:, rows]
    ap, ap50 = average_precision(true, found)
    known = error[given]
    middle = float(np.median(known)) if len(known) else np.nan
    return PointScore(
        middle, float(np.quantile(known, 0.95)) if len(known) else np.nan, middle * cm_per_px,
        float(given.mean()), float(oks(true, found).mean()), ap, ap50,
    )  # fmt: skip


def areas(true_px: np.ndarray) -> np.ndarray:
    """Area of the box about the true points of each picture, shape (n_frames,). [px^2]"""
    return np.prod(true_px.max(axis=1) - true_px.min(axis=1), axis=-1)


def oks(true_px: np.ndarray, found_px: np.ndarray) -> np.ndarray:
    """Object keypoint similarity of each picture, shape (n_frames,); points in the order of COCO."""
    square = ((found_px - true_px) ** 2).sum(axis=-1)
    near = np.exp(-square / (2 * areas(true_px)[:, None] * (2 * SIGMAS) ** 2))
    return np.where(np.isfinite(square), near, 0.0).mean(axis=1)


def average_precision(true_px: np.ndarray, found_px: np.ndarray) -> tuple[float, float]:
    """AP over OKS 0.50 to 0.95 and AP at 0.50, by pycocotools; points in the order of COCO."""
    with extra():
        from pycocotools.coco import COCO as Coco
        from pycocotools.cocoeval import COCOeval
    size, far = areas(true_px), np.where(np.isfinite(found_px), found_px, _FAR_PX)
    ones = np.ones(len(COCO))
    truth = {
        "info": {}, "licenses": [], "categories": [{"id": 1, "name": "person", "keypoints": COCO, "skeleton": []}],
        "images": [{"id": i} for i in range(len(size))],
        "annotations": [
            {"id": i + 1, "image_id": i, "category_id": 1, "iscrowd": 0, "num_keypoints": len(COCO), "area": float(a),
             "bbox": _box(points), "keypoints": np.c_[points, 2 * ones].ravel().tolist()}
            for i, (a, points) in enumerate(zip(size, true_px, strict=True))
        ],
    }  # fmt: skip
    found = [
        {"image_id": i, "category_id": 1, "score": 1.0, "keypoints": np.c_[points, ones].ravel().tolist()}
        for i, points in enumerate(far)
    ]
    with contextlib.redirect_stdout(io.StringIO()):
        coco = Coco()
        coco.dataset = truth
        coco.createIndex()
        judged = COCOeval(coco, coco.loadRes(found), "keypoints")
        judged.params.areaRng = [[0, 1e10]]  # swimmers of every size
        judged.params.areaRngLbl = ["all"]
        judged.evaluate()
        judged.accumulate()
    precision = judged.eval["precision"][..., 0, 0, 0]  # (thresholds, recalls)
    return float(precision.mean()), float(precision[0].mean())


def _box(points: np.ndarray) -> list[float]:
    low, high = points.min(axis=0), points.max(axis=0)
    return [*low.tolist(), *(high - low).tolist()]
