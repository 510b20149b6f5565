"""How the solid figure is dressed and built: plain words, nobody in particular.

The tones are ours, spread evenly in lightness; girths are common practice for a swimmer of 1.80 m.
"""

from __future__ import annotations

from dataclasses import dataclass

from swimsim.ground.errors import InputError, nearest

from .colours import Colour, rgb

SKINS = {
    "pale": rgb("#F0C8A8"), "light": rgb("#DDA982"), "olive": rgb("#BF8A5E"), "brown": rgb("#94603B"),
    "dark": rgb("#62402B"),
}  # fmt: skip
CAPS = {
    "white": rgb("#F4F6F8"), "yellow": rgb("#E8D44A"), "purple": rgb("#8C5AA0"), "green": rgb("#2E8B6A"),
    "black": rgb("#2B3138"),
}  # fmt: skip
SUITS = {"black": rgb("#2B3138"), "navy": rgb("#2A3F66"), "purple": rgb("#6E4A86"), "green": rgb("#2B6B57")}
CUTS = ("shorts", "one_piece")
#: Girth of limbs, girth of the trunk, as shares of the ordinary build.
BUILDS = {"lean": (1.0, 1.0), "sturdy": (1.13, 1.20)}


@dataclass(frozen=True)
class Person:
    """Skin, cap, suit and build of the solid figure.

    Parameters
    ----------
    skin, cap, suit, cut, build : str
        Keys of `SKINS`, `CAPS`, `SUITS`, `CUTS` and `BUILDS`.

    Raises
    ------
    InputError
        An unknown word.
    """

    skin: str = "light"
    cap: str = "white"
    suit: str = "navy"
    cut: str = "shorts"
    build: str = "lean"

    def __post_init__(self) -> None:
        known = {"skin": SKINS, "cap": CAPS, "suit": SUITS, "cut": CUTS, "build": BUILDS}
        for name, words in known.items():
            word = getattr(self, name)
            if word not in words:
                raise InputError(
                    f"figure.{name}: expected a known word, got '{word}'; {nearest(word, words)}"
                )

    @property
    def tones(self) -> dict[str, Colour]:
        """Colour of each material."""
        return {"skin": SKINS[self.skin], "cap": CAPS[self.cap], "suit": SUITS[self.suit]}
