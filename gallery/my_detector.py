"""A detector of your own: it sees points, names faults, and is scored as the package's own detectors are.

Score it from the command line: swimsim validate small --detector gallery/my_detector.py:find --out my_scorecard
"""

import tempfile

import numpy as np

LEAST_M = 0.08  # a hand that enters nearer to the midline than this, on its own side, crosses over


def find(points):
    """Findings in one clip: a list of mappings with `fault` and `present`; `side`, `severity`, `score` where known.

    `points` is a `swimsim.ground.records.Trace` (positions in metres, x forward, y left, z up) or, in a view of one
    camera, a `Seen` (pixels). This detector reads positions alone, and gives no answer to pixels.
    """
    if not hasattr(points, "joint"):
        return []
    middle = np.nanmean(points.joint("pelvis")[:, 1])
    found = []
    for side, outward in (("left", 1), ("right", -1)):
        tip, hand = points.joint(f"{side}_fingertip"), points.joint(f"{side}_knuckles")
        enters = np.flatnonzero((tip[:-1, 2] >= 0) & (tip[1:, 2] < 0))
        if len(enters):
            line = float(np.median(outward * (hand[enters, 1] - middle)))
            found.append(
                {"fault": "crossover", "side": side, "present": line < LEAST_M, "score": LEAST_M - line}
            )
    return found


def main(argv: list[str] | None = None) -> None:
    """Score it on a small design, beside the package's own detector of the same fault on the same clips."""
    import swimsim

    with tempfile.TemporaryDirectory() as folder:
        card = swimsim.validate("small", f"{folder}/card", detector=f"{__file__}:find").card
    for name, faults in (("mine", card["faults"]), ("swimsim", card["built_in"]["faults"])):
        score = faults["crossover"]["square"]["3d"]
        print(
            f"{name:8} AUC {score['auc_all']:.2f}, half found from {score['s50']:.2f}, "
            f"{score['false_alarms']} false alarms in {score['clean_clips']} clean clips"
        )


if __name__ == "__main__":
    main()
