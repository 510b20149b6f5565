"""What the solid figure shows over a stretch of frames: outlines, tones, water levels and drawing order."""

from __future__ import annotations

import cv2
import numpy as np

from swimsim.ground.conventions import SIDES

from . import strokes
from .body_shapes import facing
from .equipment import kit_pieces
from .figure import Ink, Shot, far_side
from .flesh import BALLS, STATURE_M, finger_gaps, foot_axes, hand_balls, neck, pieces
from .hulls import of_discs, of_points
from .person import Person
from .solid_bones import bone_line
from .solid_head import Head
from .solid_tones import LEVELS, tones_of

RIM_M, LEAST_RIM_PX = 0.0065, 1.0  # width of the dark rim
#: Layers of a piece: share of the radius, how far it moves to the light in radii.
LAYERS = ((1.0, 0.0), (0.76, 0.20), (0.40, 0.44))
STEEP = 0.75  # a camera that climbs more than this per metre sees no water line on the body
FRONTAL = 0.75  # a camera looks along the trunk when its lens axis runs along x by more than this
ONE_BLOCK = ("girdle", "chest", "belly", "loins", "seat", "neck")
#: Lines between the fingers: breadth of a finger [m], the least at which they are drawn [px], the least share of it
#: that is seen (less is edge on), their width as a share of the rim and at least [px].
FINGER_M, LEAST_FINGER_PX, LEAST_SPREAD, GAP_SHARE, LEAST_GAP_PX = 0.018, 3.5, 0.6, 0.55, 0.7
CUT = -1
PLAIN = ("palm", "fingers", "thumb", "foot", "girdle")  # pieces without a gleam of their own
GROUPS = ("left_arm", "right_arm", "left_leg", "right_leg", "trunk", "head")
DEPTH_JOINTS = {"arm": ("elbow", "wrist"), "leg": ("knee", "ankle")}
NEARER_M = 0.01  # how much nearer than the trunk a group counts that is always drawn over it
SOFT_M = 0.05  # half the depth over which the tint of a piece seen from above or below comes in


class Plan:
    """Outlines, colours and water levels of all pieces of a shot."""

    def __init__(self, shot: Shot, ink: Ink, person: Person, stature_m: float):
        self.shot, self.ink, self.scale = shot, ink, stature_m / STATURE_M
        self.n, self.zoom = len(shot.points_m), shot.zoom
        self.far = far_side(shot.camera)
        self.tones = tones_of(person, ink, bool(shot.camera.position_m[2] > 0))
        self.light = (shot.camera.rotation @ np.array([0.0, 0.0, 1.0]))[:2]
        self.frontal = abs(shot.camera.rotation[2, 0]) > FRONTAL
        self.rim = max(RIM_M * self.scale * shot.scale, LEAST_RIM_PX)
        self.edge = strokes.EDGE_PX / shot.zoom
        self.outlines: list[np.ndarray] = []
        self.colours: list[list] = []
        self.lines: list[int] = []
        self.levels: list[np.ndarray] = []
        self.groups: dict[str, dict[str, list[int]]] = {name: {} for name in GROUPS}
        self._bodies(pieces(shot, person, stature_m) + kit_pieces(shot, ink.kit, self.scale))
        self._head()
        for side in SIDES:
            self._palm(side)
            self._sole(side)

    def _bodies(self, found: list) -> None:
        """Rims of a group first, then its pieces in their tones."""
        head = Head(self.shot)
        found = [neck(self.shot, head.centre, self.scale), *found]  # the trunk hides its root
        self.head = head
        balls = np.stack([_filled(p.centres) for p in found], axis=1)  # (n, pieces, balls, 3)
        radii = np.array([p.radii + (p.radii[-1],) * (BALLS - len(p.radii)) for p in found])
        centres = self.shot.see(balls)
        depth = self.shot.depth(balls.reshape(self.n, -1, 3)).reshape(balls.shape[:3])
        focal = abs(self.shot.camera.focal_px[0])
        size = radii * focal / np.where(depth > 0.1, depth, np.nan)
        rim = np.full(radii.shape, self.rim)
        for i, piece in enumerate(found):
            if piece.open is not None:
                rim[i, piece.open] = 0.0
        rims = of_discs(centres, np.maximum(size + rim - self.edge, 0.05))
        layers = [
            of_discs(
                centres + shift * size[..., None] * self.light, np.maximum(share * size - self.edge, 0.05)
            )
            for share, shift in LAYERS
        ]
        for group in GROUPS:
            own = [i for i, piece in enumerate(found) if piece.group == group]
            level = {i: self._level(balls[:, i], radii[i]) for i in own}
            for worn in self._portions(group, own, found):
                for i in worn:
                    tone = self.tones.rim(self._is_lit(found[i].joints), self._far(group))
                    self._add((group, self._block(found[i].name)), rims[:, i], tone, level[i])
                self._fill(worn, found, layers=layers, level=level)

    def _fill(self, worn: list[int], found: list, *, layers: list, level: dict) -> None:
        """Shade, body colour and gleam: of all pieces in turn, or piece by piece where they lie one behind another."""
        steps = [(layer, i) for layer in range(len(layers)) for i in worn]
        if self.frontal:
            steps = [(layer, i) for i in worn for layer in range(len(layers))]
        for layer, i in steps:
            material, group = found[i].material, found[i].group
            plain = material == "suit" or found[i].name in PLAIN or (self.frontal and group == "trunk")
            if layer < 2 or not plain:
                tones = self.tones.of(material, self._is_lit(found[i].joints), self._far(group))
                place = (group, self._block(found[i].name))
                self._add(place, layers[layer][:, i], tones[layer], level[i], soft=layer > 0)

    def _block(self, name: str) -> str:
        """Pieces of one block keep their order; a camera along the trunk sees each piece of a limb as one."""
        if not self.frontal or name in ONE_BLOCK:
            return "whole"
        return "thigh" if name == "shorts" else name

    def _portions(self, group: str, own: list[int], found: list) -> list[list[int]]:
        """Pieces of a group that share their rims, in drawing order.

        A camera before or behind the swimmer looks along the trunk: its pieces are then taken from far to near,
        and those of a limb stand alone.
        """
        if not self.frontal:
            kinds = [("under" if found[i].name == "neck" else found[i].material, i) for i in own]
            return [
                [i for kind, i in kinds if kind == wanted] for wanted in ("under", "skin", "suit", "foam")
            ]
        if group == "trunk":
            return [own[::-1] if self.shot.camera.rotation[2, 0] < 0 else own]
        return [[i] for i in own]

    def turned(self) -> dict[str, np.ndarray]:
        """Where the pieces of a limb are to be drawn from the last to the first: its end is the farther one."""
        found = {group: np.zeros(self.n, bool) for group in GROUPS}
        if self.frontal:
            for side in SIDES:
                for limb, root, end in (("arm", "shoulder", "wrist"), ("leg", "hip", "ankle")):
                    ends = np.stack([self.shot.point(f"{side}_{n}") for n in (root, end)], axis=1)
                    deep = self.shot.depth(ends)
                    farther = deep[:, 1] > deep[:, 0]
                    found[f"{side}_{limb}"] = farther if limb == "arm" else ~farther
        return found

    def _head(self) -> None:
        """Rim, then the farther of face and cap, then the nearer, then goggles, nose and mouth."""
        head, group, lit = self.head, "head", self._head_lit()
        centre = head.centre[:, None]
        level = self._level(centre, np.array([0.12 * self.scale]))
        place = (group, "whole")
        self._add(place, head.whole(self.rim - self.edge), self.tones.rim(lit, False), level)
        face, cap = self.tones.of("skin", lit, False), self.tones.of("cap", lit, False)
        front = head.cap_in_front[:, None, None]
        faces, caps = head.face(), head.cap()
        self._add(place, np.where(front, faces, np.nan), face[1], level)
        self._add(place, caps, cap[1], level)
        self._add(place, np.where(front, np.nan, faces), face[1], level)
        seen = {"nose": face[0], "lens": self.tones.flat("lens"), "strap": self.tones.flat("lens"),
                "mouth": self.tones.flat("mouth")}  # fmt: skip
        for name, outline in head.features():
            self._add(place, outline, seen[name], level)

    def _palm(self, side: str) -> None:
        """A paler field where the palm is turned to the camera, lines of the fingers on the back of the hand."""
        blade, _, palm = hand_balls(self.shot, side)
        lit = self._is_lit(frozenset((f"{side}_wrist", f"{side}_knuckles")))
        shown = facing(self.shot, self.shot.point(f"{side}_knuckles"), palm)
        pixels = self.shot.see(blade)
        middle = pixels.mean(axis=1, keepdims=True)
        field = of_points(middle + 0.80 * (pixels - middle))
        tone = self.tones.of("skin", lit, self._far(f"{side}_arm"))[2]
        level = self._level(blade, np.full(6, 0.01))
        self._add(
            (f"{side}_arm", self._block("palm")), np.where(shown[:, None, None], field, np.nan), tone, level
        )
        if FINGER_M * self.scale * self.shot.scale >= LEAST_FINGER_PX:
            self._fingers(side, blade, lit)

    def _fingers(self, side: str, blade: np.ndarray, lit: bool) -> None:
        """Lines between the fingers, where the hand is not seen edge on."""
        ends = self.shot.see(finger_gaps(blade))
        apart = np.linalg.norm(ends[:, 2, 1] - ends[:, 0, 1], axis=-1)
        shown = apart > LEAST_SPREAD * 2 * FINGER_M * self.scale * self.shot.scale
        width = np.float32(0.5 * max(GAP_SHARE * self.rim, LEAST_GAP_PX) - self.edge)
        tone, level = self.tones.rim(lit, self._far(f"{side}_arm")), self._level(blade, np.full(6, 0.01))
        place = (f"{side}_arm", self._block("fingers"))
        for gap in range(ends.shape[1]):
            line = of_points(ends[:, gap], max(width, 0.05))
            self._add(place, np.where(shown[:, None, None], line, np.nan), tone, level)

    def _sole(self, side: str) -> None:
        """A paler field where the sole is turned to the camera."""
        toe, across, sole = foot_axes(self.shot, side)
        heel = self.shot.point(f"{side}_heel")
        shown = facing(self.shot, toe, sole)
        reach = 0.026 * self.scale * across
        corners = np.stack([toe + reach, toe - reach, heel - 0.7 * reach, heel + 0.7 * reach], axis=1)
        field = of_points(self.shot.see(corners))
        lit = self._is_lit(frozenset((f"{side}_ankle", f"{side}_toe")))
        tone = self.tones.of("skin", lit, self._far(f"{side}_leg"))[2]
        level = self._level(corners, np.full(4, 0.01))
        self._add(
            (f"{side}_leg", self._block("foot")), np.where(shown[:, None, None], field, np.nan), tone, level
        )

    def _add(
        self,
        place: tuple[str, str],
        outline: np.ndarray,
        tone: list,
        level: np.ndarray,
        *,
        soft: bool = False,
    ) -> None:
        """Keep an outline; the edge of a soft one, between two near tones, is drawn the quick way."""
        self.lines.append(cv2.LINE_8 if soft else cv2.LINE_AA)
        group, block = place
        self.groups[group].setdefault(block, []).append(len(self.outlines))
        self.outlines.append(outline)
        self.colours.append(tone)
        self.levels.append(level)

    def _level(self, balls: np.ndarray, radii: np.ndarray) -> np.ndarray:
        """How far a piece is under water, 0 to LEVELS; CUT where a level camera sees the water line on it."""
        z = balls[..., 2]
        if abs(self.shot.camera.rotation[2, 2]) >= STEEP:
            share = np.clip(0.5 - z.mean(axis=1) / (2 * SOFT_M), 0, 1)
            return np.rint(np.nan_to_num(share) * LEVELS).astype(int)
        count = z.shape[1]
        low, high = (z - radii[:count]).min(axis=1), (z + radii[:count]).max(axis=1)
        return np.where(low >= 0, 0, np.where(high <= 0, LEVELS, CUT))

    def water_rows(self) -> dict[str, np.ndarray]:
        """Row at which the water line crosses each group in each frame, whole pixels of the zoomed picture."""
        camera = self.shot.camera
        r = camera.rotation
        rows = {}
        for group in GROUPS:
            deep = self.shot.depth(self._middle(group)[:, None])[:, 0]
            if abs(r[2, 2]) >= STEEP or abs(r[1, 2]) < 1e-6:
                rows[group] = np.zeros(self.n, int)
                continue
            across = (-camera.position_m[2] - deep * r[2, 2]) / r[1, 2]
            row = camera.focal_px[1] * across / np.maximum(deep, 0.1) + camera.centre_px[1]
            rows[group] = np.rint(np.nan_to_num((row + 0.5) * self.zoom)).astype(int)
        return rows

    def _middle(self, group: str) -> np.ndarray:
        """A point that tells how deep in the picture a group lies, (n, 3). [m]"""
        if group == "head":
            return self.head.centre
        if group == "trunk":
            return (self.shot.point("thorax") + self.shot.point("pelvis")) / 2
        side, limb = group.split("_")
        a, b = (self.shot.point(f"{side}_{n}") for n in DEPTH_JOINTS[limb])
        return (a + b) / 2

    def order(self) -> np.ndarray:
        """Groups from far to near in each frame, (n, 6).

        Where legs and head join the trunk the order follows the camera, not the kick, so nothing flickers.
        """
        deep = np.stack([self.shot.depth(self._middle(g)[:, None])[:, 0] for g in GROUPS], axis=1)
        legs, trunk, head = [2, 3], deep[:, 4:5], 5
        ahead = self.shot.camera.rotation[2, 0]
        if ahead > FRONTAL:  # from behind
            deep[:, legs] = np.fmin(deep[:, legs], trunk - NEARER_M)
            deep[:, head] = np.fmax(deep[:, head], trunk[:, 0] + NEARER_M)
        else:
            deep[:, head] = np.fmin(deep[:, head], trunk[:, 0] - NEARER_M)
            for leg in legs:
                nearer = self.far is not None and not self._far(GROUPS[leg])
                shifted = trunk[:, 0] + (-NEARER_M if nearer else NEARER_M)
                deep[:, leg] = (np.fmin if nearer else np.fmax)(deep[:, leg], shifted)
        return np.argsort(-np.nan_to_num(deep, nan=1e9), axis=1, kind="stable")

    def bones(self) -> list[strokes.Shapes]:
        """The bone line of the highlighted chain."""
        return bone_line(self.shot, self.ink, self.scale)

    def _far(self, group: str) -> bool:
        return self.far is not None and group.startswith(self.far)

    def _is_lit(self, joints: frozenset[str]) -> bool:
        return joints in self.ink.lit_bones

    def _head_lit(self) -> bool:
        return any(self._is_lit(frozenset(("neck", n))) for n in ("head_top", "nose"))


def _filled(centres: np.ndarray) -> np.ndarray:
    """Balls (n, BALLS, 3): the last is repeated."""
    short = BALLS - centres.shape[1]
    return np.concatenate([centres, np.repeat(centres[:, -1:], short, axis=1)], axis=1) if short else centres
