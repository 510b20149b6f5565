"""The whole swimmer as a chain of rotating links, for a rigid-body library and for scipy's rotations.

Both get joint coordinates worked out from given joint positions and must give the same 32 positions again.
They do less than the package: they know the rotations beforehand, while the package makes them from curves of
the hands, roll, kick and head.
"""

from __future__ import annotations

import numpy as np
from scipy.spatial.transform import Rotation

from swimsim.ground.conventions import JOINT_INDEX, JOINTS

FACE = ("head_top", "chin", "nose", "left_eye", "right_eye", "left_ear", "right_ear")


def links() -> list[tuple]:
    """Rows of (name, parent, origin, first way, second way, marks); a way is a pair of joints.

    Every link turns freely about its origin in the parent; the pelvis also moves, and the upper arm's origin
    slides on the trunk because the shoulder girdle does.
    """
    across = ("right_hip", "left_hip")
    rows = [
        ("pelvis", None, "pelvis", across, ("pelvis", "thorax"), ("pelvis", "left_hip", "right_hip")),
        ("trunk", "pelvis", "pelvis", ("pelvis", "thorax"), ("pelvis", "neck"), ("thorax", "neck")),
        ("head", "trunk", "neck", ("neck", "head_top"), ("neck", "nose"), FACE),
    ]
    for side in ("left", "right"):
        s, e, w, k, t, h, n, a, toe, heel = (
            f"{side}_{name}"
            for name in (
                "shoulder", "elbow", "wrist", "knuckles", "thumb_tip", "hip", "knee", "ankle", "toe", "heel",
            )
        )  # fmt: skip
        rows += [
            (f"{side} upper arm", "trunk", s, (s, e), across, (s, e)),
            (f"{side} forearm", f"{side} upper arm", e, (e, w), (w, t), (w,)),
            (f"{side} hand", f"{side} forearm", w, (w, k), (w, t), (k, f"{side}_fingertip", t)),
            (f"{side} thigh", "pelvis", h, (h, n), across, (n,)),
            (f"{side} shank", f"{side} thigh", n, (n, a), across, (a,)),
            (f"{side} foot", f"{side} shank", a, (heel, toe), (heel, a), (toe, heel)),
        ]
    return rows


def slides(name: str) -> bool:
    """Whether the origin of a link moves in its parent."""
    return name.endswith("upper arm")


def triads(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """Rotations (n, 3, 3) whose first column lies along `first` and whose second lies towards `second`."""
    x = first / np.linalg.norm(first, axis=1, keepdims=True)
    y = second - (second * x).sum(1, keepdims=True) * x
    y /= np.linalg.norm(y, axis=1, keepdims=True)
    return np.stack([x, y, np.cross(x, y)], axis=2)


class Coordinates:
    """Joint coordinates of the links that give the positions `joints_m` (n, 32, 3).

    `quaternions[link]` (n, 4), scalar last, and `vectors[link]` (n, 3) [rad], in the parent;
    `shift[link]` (n, 3) or (3,) origin in the parent [m];
    `marks[link][joint]` (3,) fixed places in the link [m].
    """

    def __init__(self, joints_m: np.ndarray) -> None:
        def at(name):
            return joints_m[:, JOINT_INDEX[name]]

        turned, self.quaternions, self.vectors, self.shift, self.marks = {}, {}, {}, {}, {}
        origins = {name: at(origin) for name, _, origin, *_ in links()}
        for name, parent, _, first, second, marks in links():
            turned[name] = own = triads(at(first[1]) - at(first[0]), at(second[1]) - at(second[0]))
            back = own.transpose(0, 2, 1)
            if parent is None:
                relative, shift = own, origins[name]
            else:
                to_parent = turned[parent].transpose(0, 2, 1)
                relative = to_parent @ own
                shift = np.einsum("nij,nj->ni", to_parent, origins[name] - origins[parent])
            rotation = Rotation.from_matrix(relative)
            self.quaternions[name], self.vectors[name] = rotation.as_quat(), rotation.as_rotvec()
            self.shift[name] = shift if parent is None or slides(name) else shift[0]
            self.marks[name] = {m: back[0] @ (at(m)[0] - origins[name][0]) for m in marks}


def scipy_places(known: Coordinates, *, from_vectors: bool = False) -> np.ndarray:
    """All positions by scipy's Rotation, vectorised over frames, shape (n, 32, 3). [m]

    From quaternions, or from rotation vectors, which need a sine and a cosine each as any joint angle does.
    """
    count = len(known.quaternions["pelvis"])
    out = np.empty((count, len(JOINTS), 3))
    turned, origin = {}, {}
    for name, parent, *_ in links():
        if from_vectors:
            own = Rotation.from_rotvec(known.vectors[name])
        else:
            own = Rotation.from_quat(known.quaternions[name])
        if parent is None:
            turned[name], origin[name] = own, known.shift[name]
        else:
            turned[name] = turned[parent] * own
            origin[name] = origin[parent] + turned[parent].apply(known.shift[name])
        for mark, place in known.marks[name].items():
            out[:, JOINT_INDEX[mark]] = origin[name] + turned[name].apply(place)
    return out


class Pinocchio:
    """The same links in a rigid-body library; `rows` are its configurations, one per frame."""

    def __init__(self, known: Coordinates) -> None:
        import pinocchio as pin

        self.pin, self.model = pin, pin.Model()
        last, frames, columns = {None: 0}, {}, []
        for name, parent, *_ in links():
            fixed = parent is not None and not slides(name)
            offset = pin.SE3(np.eye(3), known.shift[name] if fixed else np.zeros(3))
            above = last[parent]
            if slides(name):
                above = self.model.addJoint(above, pin.JointModelTranslation(), offset, f"{name} slide")
                offset = pin.SE3.Identity()
            kind = pin.JointModelFreeFlyer() if parent is None else pin.JointModelSpherical()
            last[name] = self.model.addJoint(above, kind, offset, name)
            columns += ([] if fixed else [known.shift[name]]) + [known.quaternions[name]]
            for mark, place in known.marks[name].items():
                frame = pin.Frame(mark, last[name], 0, pin.SE3(np.eye(3), place), pin.FrameType.OP_FRAME)
                frames[mark] = self.model.addFrame(frame)
        self.data = self.model.createData()
        self.order = [frames[name] for name in JOINTS]
        self.rows = list(np.ascontiguousarray(np.hstack(columns)))

    def joints_only(self, rows: list[np.ndarray]) -> None:
        """The bare call per frame, placements of the moving joints alone."""
        for row in rows:
            self.pin.forwardKinematics(self.model, self.data, row)

    def all_frames(self, rows: list[np.ndarray]) -> None:
        """The bare call per frame with the placements of all 32 joints, none of them read."""
        for row in rows:
            self.pin.framesForwardKinematics(self.model, self.data, row)

    def places(self, rows: list[np.ndarray]) -> np.ndarray:
        """Positions copied out, shape (n, 32, 3). [m]"""
        out = np.empty((len(rows), len(JOINTS), 3))
        for i, row in enumerate(rows):
            self.pin.framesForwardKinematics(self.model, self.data, row)
            out[i] = [self.data.oMf[k].translation for k in self.order]
        return out
