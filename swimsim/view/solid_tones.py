"""Tones of the solid figure: shade, body colour and gleam of each material, from the air to under water."""

from __future__ import annotations

from functools import cache

from .colours import Colour, mix, rgb
from .figure import Ink
from .person import Person

LEVELS = 8  # steps from air (0) to water
#: Strength of what is under water, for a camera under water and one that looks through the surface.
UNDER, THROUGH = 0.84, 0.70
SHADE, GLEAM = 0.78, 0.80  # share of the body colour in its shade and in its gleam
FAR_SHARE = 0.80  # strength of the far limbs where nothing is highlighted
LENS, MOUTH, FOAM = rgb("#26343F"), rgb("#8A4B45"), rgb("#E8D44A")


@cache
def tones_of(person: Person, ink: Ink, above: bool) -> Tones:
    """The tones of a panel, made once."""
    return Tones(person, ink, above=above)


class Tones:
    """Colours of one panel: every colour is a list of LEVELS + 1, from in the air to under water."""

    def __init__(self, person: Person, ink: Ink, *, above: bool):
        self.ink, self.theme = ink, ink.theme
        materials = {**person.tones, "foam": FOAM}
        self.materials = {name: self.theme.own(colour) for name, colour in materials.items()}
        self.under = THROUGH if above else UNDER
        self.of, self.rim, self.flat = cache(self._of), cache(self._rim), cache(self._flat)

    def _of(self, material: str, lit: bool, far: bool) -> list[list[Colour]]:
        """Shade, body colour and gleam of a material; of the panel's colour where it is highlighted."""
        body = self.ink.colour if lit else self.materials[material]
        trio = (mix(body, self.theme.dusk, SHADE), body, mix(body, self.theme.gleam, GLEAM))
        if lit:  # water would take the contrast that a highlight needs
            return [[colour] * (LEVELS + 1) for colour in trio]
        return [self._levels(self._back(colour, lit, far)) for colour in trio]

    def _rim(self, lit: bool, far: bool) -> list[Colour]:
        """The dark line around a piece."""
        return self._levels(self._back(self.theme.outline, lit, far))

    def _flat(self, name: str) -> list[Colour]:
        """Goggles and mouth."""
        colour = self.theme.own({"lens": LENS, "mouth": MOUTH}[name])
        return self._levels(self._back(colour, False, False))

    def _back(self, colour: Colour, lit: bool, far: bool) -> Colour:
        """A colour that stands back beside a highlighted limb, or on the far side."""
        if lit:
            return colour
        share = self.ink.dim[far] if self.ink.limb else (1.0, FAR_SHARE)[far]
        return mix(colour, self.theme.water, share)

    def _levels(self, colour: Colour) -> list[Colour]:
        shares = (1 - (1 - self.under) * i / LEVELS for i in range(LEVELS + 1))
        return [mix(colour, self.theme.water, share) for share in shares]
