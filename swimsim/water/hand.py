"""Force of the water on a hand: drag and lift by pitch and sweepback.

The hand is a plate. Pitch is the angle between the plate and the flow (90 degrees: plane-on); sweepback is the
direction of the flow in the plate, 0 when the thumb side leads, 180 degrees when the little finger leads. Drag is
against the hand's velocity through still water, lift is square to it, in the plane of velocity and plate normal, on
the side to which a plate is pushed. Lift does no work, drag takes energy: no force ever feeds the hand.

The coefficients are quasi-steady, for separated flow at Reynolds numbers of 1e5 to 1e6, where their dependence on speed
and size is small (Berger et al. 1995). Curves and sources: `shared/water.toml`.
"""

from __future__ import annotations

import functools
import math

import numpy as np

from ..ground.tables import read_toml

SMALL = 1e-300  # keeps a hand at rest from dividing by nothing


def hand_drag_coefficient(pitch_rad, *, edge_on: float | None = None, plane_on: float | None = None):
    """Drag coefficient of a hand on its planform area: edge_on + (plane_on - edge_on) sin^2(pitch).

    Parameters
    ----------
    pitch_rad : array_like
        0 to pi/2. [rad]
    edge_on, plane_on : float, optional
        Default 0.20 and 1.16, `shared/water.toml`.
    """
    hand = read_toml("water")["hand"]
    edge_on = hand["drag_edge_on"]["value"] if edge_on is None else edge_on
    plane_on = hand["drag_plane_on"]["value"] if plane_on is None else plane_on
    return edge_on + (plane_on - edge_on) * np.sin(pitch_rad) ** 2


def hand_lift_coefficient(pitch_rad, sweepback_rad=math.pi / 2, *, most: float | None = None):
    """Lift coefficient of a hand; with the flow along the hand it is most sin(2 pitch).

    Parameters
    ----------
    pitch_rad : array_like
        0 to pi/2. [rad]
    sweepback_rad : array_like
        Default along the hand. [rad]
    most : float, optional
        Greatest value, the same at every sweepback. Default 0.80, `shared/water.toml`.
    """
    most = read_toml("water")["hand"]["lift_most"]["value"] if most is None else most
    return most * _lift_shape(np.sin(pitch_rad), np.cos(pitch_rad), np.cos(sweepback_rad))


def _lift_shape(sine, cosine, lead):
    """Lift over its greatest value; `lead` is the cosine of the sweepback.

    Notes
    -----
    sin(2a) (1 + s cos(2a)) over its own greatest value, with s chosen so that the peak lies where it is printed for
    thumb leading and little finger leading, and s = 0 for flow along the hand. [derived]
    """
    twice, across = 2 * sine * cosine, cosine * cosine - sine * sine
    one, two = _skews()
    skew = lead * (one + two * lead)
    peak = 2 * skew / (1 + np.sqrt(1 + 8 * skew * skew))  # cosine of twice the pitch of most lift
    return twice * (1 + skew * across) / (np.sqrt(1 - peak * peak) * (1 + skew * peak))


@functools.cache
def _skews() -> tuple[float, float]:
    """Coefficients of the skew on the cosine of the sweepback and its square."""
    hand = read_toml("water")["hand"]

    def skew(degrees: float) -> float:
        return -math.cos(2 * math.radians(degrees)) / math.cos(4 * math.radians(degrees))

    thumb, little = skew(hand["lift_peak_thumb_deg"]), skew(hand["lift_peak_little_finger_deg"])
    return (thumb - little) / 2, (thumb + little) / 2


def pitch_and_sweepback(velocity_m_s, normal, thumb_way) -> tuple[np.ndarray, np.ndarray]:
    """Pitch and sweepback of a moving hand.

    Parameters
    ----------
    velocity_m_s : array_like, shape (..., 3)
        Of the hand through still water. [m/s]
    normal, thumb_way : array_like, shape (..., 3)
        Unit vectors: square to the plate (either side), and in the plate towards the thumb.

    Returns
    -------
    pitch, sweepback : numpy.ndarray, shape (...)
        0 to pi/2, and 0 (thumb leads) to pi (little finger leads): the two sides of the hand's long axis are not told
        apart, because no printed number does. [rad]
    """
    vectors = (np.moveaxis(np.asarray(v, float), -1, 0) for v in (velocity_m_s, normal, thumb_way))
    sine, lead, _ = _attitude(*vectors)
    return np.arcsin(np.clip(np.abs(sine), 0, 1)), np.arccos(np.clip(lead, -1, 1))


def _attitude(velocity, normal, thumb_way):
    """Signed sine of the pitch, cosine of the sweepback, and speed; vectors along the first axis."""
    speed = np.sqrt((velocity * velocity).sum(axis=0)) + SMALL
    sine = (velocity * normal).sum(axis=0) / speed
    in_plane = np.sqrt(np.maximum(1 - sine * sine, 0.0))
    lead = (velocity * thumb_way).sum(axis=0) / (speed * in_plane + SMALL)
    return sine, np.clip(lead, -1.0, 1.0), speed


def hand_force_shapes(velocity, normal, thumb_way) -> np.ndarray:
    """Force for coefficients, half density and area of one, split by coefficient.

    Parameters
    ----------
    velocity, normal, thumb_way : numpy.ndarray, shape (3, ...)
        Vectors along the first axis; shapes broadcast. [m/s], -, -

    Returns
    -------
    numpy.ndarray, shape (3, 3, ...)
        First axis: drag at any pitch, drag that grows with sin^2(pitch), lift. Second axis: x, y, z. [m2/s2]
    """
    sine, lead, speed = _attitude(velocity, normal, thumb_way)
    cosine = np.sqrt(np.maximum(1 - sine * sine, 0.0))
    drag = -speed * velocity
    aside = normal - sine * velocity / speed  # the normal's part square to the flow, as long as the cosine
    lift = -np.sign(sine) * speed**2 * _lift_shape(np.abs(sine), cosine, lead) / (cosine + SMALL) * aside
    return np.stack([drag, sine * sine * drag, lift])


def hand_force(velocity_m_s, normal, thumb_way, *, area_m2: float, water_kg_m3: float) -> np.ndarray:
    """Quasi-steady force on a covered hand, shape (..., 3). [N]

    Parameters
    ----------
    velocity_m_s, normal, thumb_way : array_like, shape (..., 3)
        As in `pitch_and_sweepback`.
    """
    moved = (np.moveaxis(np.asarray(v, float), -1, 0) for v in (velocity_m_s, normal, thumb_way))
    shapes = hand_force_shapes(*moved)
    total = np.tensordot(hand_coefficients(), shapes, 1)
    return np.moveaxis(0.5 * water_kg_m3 * area_m2 * total, 0, -1)


def hand_coefficients() -> np.ndarray:
    """Default factors on the three shapes of `hand_force_shapes`, shape (3,)."""
    hand = read_toml("water")["hand"]
    edge_on, plane_on = hand["drag_edge_on"]["value"], hand["drag_plane_on"]["value"]
    return np.array([edge_on, plane_on - edge_on, hand["lift_most"]["value"]])
