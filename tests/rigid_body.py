"""The swimmer's skeleton built a second time in a general rigid-body library, from the body's lengths alone.

Segment axes follow the ISB: X forward, Y up (towards the near end), Z right of the standing person. A left
arm or leg is looked at in the mirror (pool y reversed), so that one model serves both sides.
"""

import numpy as np
import pinocchio as pin

from swimsim.ground.conventions import JOINT_INDEX

HINGES = {
    "X": pin.JointModelRX,
    "Y": pin.JointModelRY,
    "Z": pin.JointModelRZ,
}


class Chain:
    """Revolute joints in a row, with named marks on the last link; built by `turn` and `go`."""

    def __init__(self):
        self.model = pin.Model()
        self.last, self.offset = 0, pin.SE3.Identity()
        self.marks = {}

    def turn(self, axes):
        """One hinge after the other about moving axes, all at the present place."""
        for axis in axes:
            name = f"{self.model.njoints}{axis}"
            self.last = self.model.addJoint(self.last, HINGES[axis](), self.offset, name)
            self.offset = pin.SE3.Identity()
        return self

    def go(self, *step_m):
        """Move on by a fixed step in the present segment. [m]"""
        self.offset = self.offset * pin.SE3(np.eye(3), np.array(step_m, float))
        return self

    def mark(self, name, *step_m):
        """A point of the present segment, a fixed step away."""
        place = self.offset * pin.SE3(np.eye(3), np.array(step_m or (0.0, 0.0, 0.0), float))
        frame = pin.Frame(name, self.last, 0, place, pin.FrameType.OP_FRAME)
        self.marks[name] = self.model.addFrame(frame)
        return self

    def load(self, part):
        """Give the present segment the mass, centre and inertia of a `Segment` that hangs down from here."""
        across, sideways, along = part.inertia_kg_m2  # about X, Z, Y of these axes
        centre = np.array([0.0, -part.centre_fraction * part.length_m, 0.0])
        inertia = pin.Inertia(part.mass_kg, centre, np.diag([across, along, sideways]))
        self.model.appendBodyToJoint(self.last, inertia, self.offset)
        return self

    def places(self, angles_rad):
        """Positions of all marks for one set of joint angles, by name. [m]"""
        data = self.model.createData()
        pin.framesForwardKinematics(self.model, data, np.asarray(angles_rad, float))
        return {name: data.oMf[index].translation.copy() for name, index in self.marks.items()}


def arm_chain(body, *, loaded=False):
    """Shoulder Y-X-Y, elbow Z-X-Y, wrist Z-X-Y, from the shoulder joint centre in the frame of the trunk."""
    chain = Chain().turn("YXY")
    if loaded:
        chain.load(body.segments["upper_arm"])
    chain.go(0, -body.upper_arm_m, 0).mark("elbow").turn("ZXY")
    if loaded:
        chain.load(body.segments["forearm"])
    chain.go(0, -body.forearm_m, 0).mark("wrist").turn("ZXY")
    if loaded:
        chain.load(body.segments["hand"])
    chain.mark("knuckles", 0, -body.hand_to_knuckles_m, 0)
    chain.mark("fingertip", 0, -body.hand_to_fingertip_m, 0)
    chain.mark("thumb_tip", 0, -body.thumb_along_m, body.thumb_across_m)
    return chain


def leg_chain(body):
    """Hip Y-X-Y, knee Z, from the hip joint centre in the frame of the pelvis."""
    chain = Chain().turn("YXY").go(0, -body.thigh_m, 0).mark("knee").turn("Z").go(0, -body.shank_m, 0)
    return chain.mark("ankle")


def limb(joints_m, side, names):
    """Points of one limb in the mirror of the right side, each (n, 3). [m]"""
    flip = np.array([1.0, 1.0 if side == "right" else -1.0, 1.0])
    return {name: joints_m[:, JOINT_INDEX[f"{side}_{name}"]] * flip for name in names}
