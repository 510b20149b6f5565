"""Left and right exchanged: the mirrored swimmer before the mirrored camera.

The world is reflected in the plane y = 0 and the picture comes out as in a mirror: pixel x becomes
width - 1 - x. Joints change names with sides, so the mirrored body is again a body like any other, and words,
which are written later, stay readable.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from swimsim.ground.conventions import SIDES
from swimsim.ground.records import Camera, Drawn, Marks, Trace

FLIP = np.array([1.0, -1.0, 1.0])  # reflection in the plane y = 0


def mirrored_camera(camera: Camera) -> Camera:
    """The camera that sees the mirrored world as the mirror image of what `camera` sees.

    Its rotation is turned over in y of the world and in x of the picture, so it stays a proper rotation.
    """
    k1, k2, p1, p2, k3 = camera.distortion
    return replace(
        camera,
        position_m=camera.position_m * FLIP,
        rotation=camera.rotation * FLIP * np.array([[-1.0], [1.0], [1.0]]),
        centre_px=(camera.size_px[0] - 1 - camera.centre_px[0], camera.centre_px[1]),
        distortion=(k1, k2, p1, -p2, k3),
    )


def mirrored_panel(trace: Trace, marks: Marks) -> tuple[Trace, Marks]:
    """Trace and marks of the mirrored swimmer: y turned over, left and right exchanged."""
    names = tuple(other_side(name) for name in trace.joint_names)
    swapped = Trace(trace.time_s, trace.joints_m * FLIP, names, trace.rate_hz, trace.meta)
    return swapped, replace(
        marks,
        limb=tuple(other_side(name) for name in marks.limb),
        arrows={other_side(name): np.asarray(v, float) * FLIP for name, v in marks.arrows.items()},
        drawn=tuple(_mirrored_drawn(d) for d in marks.drawn),
    )


def other_side(name: str) -> str:
    """The joint of the same kind on the other side; a joint of the middle is its own."""
    for side, other in zip(SIDES, SIDES[::-1], strict=True):
        if name.startswith(f"{side}_"):
            return f"{other}_{name[len(side) + 1 :]}"
    return name


def _mirrored_drawn(drawn: Drawn) -> Drawn:
    return replace(drawn, points_m=np.asarray(drawn.points_m, float) * FLIP)
