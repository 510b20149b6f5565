"""What the eye gets from a drawn picture: which pixels a colour of the theme inks, contrast, and colour vision.

The pixels of one colour of a theme are found without knowing how they are drawn: the same picture is drawn with
that colour black and with it white, and half a level of mixing shows as half of the difference.
"""

from __future__ import annotations

import functools
from dataclasses import replace

import numpy as np
from played_faults import played
from scipy import ndimage

from swimsim.teaching.marks import marks_of
from swimsim.view.clip import ClipOptions, picture
from swimsim.view.colours import THEMES
from swimsim.view.look import Look

NEAR_PX = 4  # what lies so near is beside a pixel: an edge, its rim or casing, and what is behind
FULL, NONE = 0.95, 0.10  # cover of a pixel that is all of one colour, and none of it
LETTER, LEAST_PIXELS = 0.15, 5  # cover of a pixel of a letter, and pixels of the smallest one that counts

#: Colour seen at severity 1.0, on linear red, green, blue. Source: Machado, Oliveira, Fernandes 2009, IEEE Trans
#: Vis Comput Graph 15:1291-1298, table 1; printed digits.
DEFICIENT = {
    "protan": "0.152286 1.052583 -0.204868  0.114503 0.786281 0.099216  -0.003882 -0.048116 1.051998",
    "deutan": "0.367322 0.860646 -0.227968  0.280085 0.672501 0.047413  -0.011820 0.042940 0.968881",
    "tritan": "1.255528 -0.076749 -0.178779  -0.078411 0.930809 0.147602  0.004733 0.691367 0.303900",
}
DEFICIENT = {kind: np.array(row.split(), float).reshape(3, 3) for kind, row in DEFICIENT.items()}
#: sRGB to CIE XYZ, white D65 (IEC 61966-2-1), and the white point itself.
TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])


def linear(rgb):
    """Linear light 0..1 of sRGB levels 0..255 (IEC 61966-2-1)."""
    part = np.asarray(rgb, float) / 255
    return np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)


def levels(light):
    """sRGB levels 0..255 of linear light, cut to what a screen can show."""
    part = np.clip(light, 0, 1)
    return 255 * np.where(part <= 0.0031308, 12.92 * part, 1.055 * part ** (1 / 2.4) - 0.055)


def simulated(rgb, kind):
    """Levels as seen with a deficient colour vision, or by a normal eye."""
    return np.asarray(rgb, float) if kind == "normal" else levels(linear(rgb) @ DEFICIENT[kind].T)


def lab(rgb):
    """CIE 1976 L*, a*, b* of sRGB levels (ISO/CIE 11664-4), white D65."""
    white = TO_XYZ.sum(axis=1)
    part = linear(rgb) @ TO_XYZ.T / white
    f = np.where(part > (6 / 29) ** 3, np.cbrt(part), part / (3 * (6 / 29) ** 2) + 4 / 29)
    x, y, z = np.moveaxis(f, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def luminance(rgb):
    """Relative luminance, written out once more from WCAG 2.2; shape (..., 3) to (...)."""
    return linear(rgb) @ np.array([0.2126, 0.7152, 0.0722])


def ratio(one, other):
    """Contrast of two luminances (WCAG 2.2)."""
    return (np.maximum(one, other) + 0.05) / (np.minimum(one, other) + 0.05)


@functools.cache
def panels_of(name, severity=0.7):
    """FAULT and CORRECT of a shipped scenario, and the time at which the fault is seen best. [s]"""
    swam = played(name, severity)
    marks = marks_of(swam)
    trace = swam.fault.trace
    away = np.abs((marks[0].phase - marks[0].key_share + 0.5) % 1 - 0.5)
    later = trace.time_s > swam.fault.motion.cycle_s
    at = float(trace.time_s[np.where(later, away, np.inf).argmin()])
    look = Look(views=(swam.scenario.output.views[0],))
    return ((trace, marks[0]), (swam.correct.trace, marks[1])), at, look


def drawn(name, theme, **changes):
    """The still of a scenario at its key instant; `theme` by name or as a record."""
    panels, at, look = panels_of(name)
    look = replace(look, theme=theme, **changes)
    return picture(panels, at_s=at, options=ClipOptions(look=look))


def cover(draw, theme, role):
    """How much of every pixel has that colour of the theme, 0..1: drawn with it black, and white."""
    black, white = (draw(replace(theme, **{role: (c, c, c)})).astype(float) for c in (0, 255))
    return (white - black).mean(axis=-1) / 255


def letters(seen, inked):
    """Contrast of each letter: its most inked pixel against the middle of what is around it."""
    light = luminance(seen)
    marked, _ = ndimage.label(inked > LETTER, np.ones((3, 3)))
    found = []
    for number, (rows, cols) in enumerate(ndimage.find_objects(marked), 1):
        wide = tuple(slice(max(s.start - NEAR_PX, 0), s.stop + NEAR_PX) for s in (rows, cols))
        own = marked[wide] == number
        if own.sum() < LEAST_PIXELS:
            continue
        ring = ndimage.binary_dilation(own, iterations=3) & (inked[wide] < 0.02)
        if ring.any():
            most = np.where(own, inked[wide], 0).argmax()
            found.append(float(ratio(light[wide].ravel()[most], np.median(light[wide][ring]))))
    return np.array(found)


def edges(seen, inked):
    """Contrast at the edge of what has the full colour: against the strongest pixel beside it of another colour."""
    light, full, other = luminance(seen), inked > FULL, inked < NONE
    edge = full & ~ndimage.binary_erosion(full)
    size = 2 * NEAR_PX + 1
    high = ndimage.maximum_filter(np.where(other, light, -1.0), size)
    low = ndimage.minimum_filter(np.where(other, light, 2.0), size)
    edge &= high >= 0
    return np.maximum(ratio(high[edge], light[edge]), ratio(light[edge], low[edge]))


def full_colour(seen, inked):
    """The middle colour of the pixels that are all of one colour of the theme."""
    return np.median(seen[inked > FULL], axis=0)


def theme_of(name):
    """A theme by name."""
    return THEMES[name]
