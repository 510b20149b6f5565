"""Colours of the pictures: the eight-colour set safe for colour-blind readers, in a light and a dark theme.

Colour is never the only sign: FAULT is also dashed, thicker and square, CORRECT solid and round, DRILL dotted,
and each carries its word. Source of the set: Okabe and Ito, Color Universal Design (2008); contrast: WCAG 2.2, 1.4.3
and 1.4.11.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

from swimsim.ground.errors import InputError, nearest

Colour = tuple[int, int, int]


def rgb(text: str) -> Colour:
    """Red, green and blue (0..255) of `#RRGGBB`."""
    return (int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16))


def mix(colour: Colour, ground: Colour, share: float) -> Colour:
    """`share` of the colour over `1 - share` of the ground."""
    return tuple(round(share * c + (1 - share) * g) for c, g in zip(colour, ground, strict=True))


def luminance(colour: Colour) -> float:
    """Relative luminance, 0 for black to 1 for white (WCAG 2.2)."""
    parts = (c / 255 for c in colour)
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: Colour, other: Colour) -> float:
    """Contrast ratio, 1 to 21 (WCAG 2.2)."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def in_video(colour: Colour) -> Colour:
    """Y, U, V of a colour: ITU-R BT.601, video range (Y 16 to 235, U and V 16 to 240)."""
    r, g, b = (c / 255 for c in colour)
    y = 0.299 * r + 0.587 * g + 0.114 * b
    return (round(16 + 219 * y), round(128 + 112 * (b - y) / 0.886), round(128 + 112 * (r - y) / 0.701))


@dataclass(frozen=True)
class Theme:
    """Colours of one theme. `on_fault`, `on_correct` and `on_drill` are for words on the header strips.

    `outline` rims the solid figure, `dusk` and `gleam` are what its tones turn to in shade and light; `video`
    says that all colours are Y, U, V.

    `tile`, `grout` and `lane_line` are the floor and walls of the pool, `ceiling` the surface seen from beneath,
    `rope`, `rope_metre` and `rope_end` the floats of the lane ropes: all so near the water that `fault` and
    `correct` keep 3 to 1 against each of them.

    `dim` and `dim_far` are the strength 0..1 of what is beside the highlighted limb, on the near and the far
    side of the body: faint enough to stand back, and at least 2 to 1 against air and water. A dark ground
    needs more.
    """

    name: str
    page: Colour
    air: Colour
    water: Colour
    text: Colour
    faint: Colour
    surface: Colour
    fault: Colour
    correct: Colour
    on_fault: Colour
    on_correct: Colour
    drill: Colour
    on_drill: Colour
    band: Colour
    plain: Colour
    arrow: Colour
    dim: float
    dim_far: float
    outline: Colour
    dusk: Colour
    gleam: Colour
    tile: Colour
    grout: Colour
    lane_line: Colour
    ceiling: Colour
    rope: Colour
    rope_metre: Colour
    rope_end: Colour
    video: bool = False

    def strip(self, word: str) -> tuple[Colour, Colour] | None:
        """Colour of a panel with this word, and of letters on it; None for any other word."""
        strips = {
            "FAULT": (self.fault, self.on_fault),
            "CORRECT": (self.correct, self.on_correct),
            "DRILL": (self.drill, self.on_drill),
        }
        return strips.get(word.upper())

    def own(self, colour: Colour) -> Colour:
        """A colour given as red, green, blue, in the numbers of this theme."""
        return in_video(colour) if self.video else colour

    def in_video(self) -> Theme:
        """The same theme with every colour as Y, U, V, for pictures that go straight into a video.

        Mixing and anti-aliasing are linear, so drawing in these colours equals converting the drawn picture.
        """
        values = {f.name: getattr(self, f.name) for f in fields(self)}
        if self.video:
            return self
        changed = {n: in_video(v) for n, v in values.items() if isinstance(v, tuple)}
        return replace(self, video=True, **changed)


THEMES = {
    "light": Theme(
        "light", page=rgb("#FFFFFF"), air=rgb("#F7FAFC"), water=rgb("#E3F1F8"), text=rgb("#10202B"),
        faint=rgb("#8FA9B8"), surface=rgb("#3F7F9F"), fault=rgb("#D55E00"), correct=rgb("#0072B2"),
        on_fault=rgb("#000000"), on_correct=rgb("#FFFFFF"), drill=rgb("#CC79A7"), on_drill=rgb("#000000"),
        band=rgb("#009E73"), plain=rgb("#22323D"),
        arrow=rgb("#000000"), dim=0.62, dim_far=0.58, outline=rgb("#22313C"), dusk=rgb("#1B2A38"),
        gleam=rgb("#FFFFFF"), tile=rgb("#F1F8FB"), grout=rgb("#D8E7EF"), lane_line=rgb("#D6E6EE"),
        ceiling=rgb("#D4E7F2"), rope=rgb("#FBFDFE"), rope_metre=rgb("#D6E6EE"), rope_end=rgb("#F4E2E4"),
    ),
    "dark": Theme(
        "dark", page=rgb("#06121F"), air=rgb("#16283B"), water=rgb("#0B1F33"), text=rgb("#F2F6F9"),
        faint=rgb("#4A6880"), surface=rgb("#8FC3E0"), fault=rgb("#E69F00"), correct=rgb("#56B4E9"),
        on_fault=rgb("#000000"), on_correct=rgb("#000000"), drill=rgb("#CC79A7"), on_drill=rgb("#000000"),
        band=rgb("#009E73"), plain=rgb("#DCE6EC"),
        arrow=rgb("#F0E442"), dim=0.72, dim_far=0.58, outline=rgb("#DCE8F0"), dusk=rgb("#0A1826"),
        gleam=rgb("#FFFFFF"), tile=rgb("#143049"), grout=rgb("#1F4260"), lane_line=rgb("#071627"),
        ceiling=rgb("#17384F"), rope=rgb("#2A4A64"), rope_metre=rgb("#0A1A2B"), rope_end=rgb("#4A3540"),
    ),
}  # fmt: skip


def theme_named(name: str | Theme) -> Theme:
    """The theme of that name; a theme is handed back.

    Raises
    ------
    InputError
        Unknown name.
    """
    if isinstance(name, Theme):
        return name
    if name not in THEMES:
        raise InputError(f"theme: expected a known theme, got '{name}'; {nearest(name, THEMES)}")
    return THEMES[name]
