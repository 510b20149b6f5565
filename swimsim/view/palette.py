"""One palette for a whole GIF, and a lookup table from colours to its entries."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

ENTRIES = 255  # one of 256 is kept for "unchanged"
LARGE = 100_000  # pictures with more pixels are counted at every other pixel
EXACT = 96  # the commonest colours are kept as they are


class Palette:
    """At most 255 colours, and the nearest of them for every colour of 5, 6 and 5 bits."""

    def __init__(self, colours: np.ndarray):
        self.colours = np.asarray(colours, np.uint8)
        code = np.arange(1 << 16)
        cells = np.stack(
            [(code >> 11) * 255 / 31, (code >> 5 & 63) * 255 / 63, (code & 31) * 255 / 31], axis=1
        )
        known = self.colours.astype(np.float32)
        # squared distance without the term that is the same for every entry
        self.table = np.concatenate(
            [(-2 * c @ known.T + (known**2).sum(1)).argmin(1) for c in np.array_split(cells, 64)]
        ).astype(np.uint8)
        own = known.astype(int)
        cell = (own[:, 0] >> 3 << 11) | (own[:, 1] >> 2 << 5) | own[:, 2] >> 3
        self.table[cell[::-1]] = np.arange(len(own))[::-1]

    @classmethod
    def of(cls, pictures: Sequence[np.ndarray]) -> Palette:
        """Palette of a few RGB pictures: their commonest colours exactly, the rest by median cut."""
        packed = np.concatenate([_packed(p) for p in pictures])
        colours, counts = np.unique(packed, return_counts=True)
        colours = colours[np.argsort(-counts, kind="stable")]
        if len(colours) <= ENTRIES:
            return cls(_unpacked(colours))
        from PIL import Image

        rest = _unpacked(colours[EXACT:])
        cut = Image.fromarray(rest[None]).quantize(
            ENTRIES - EXACT, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE
        )
        others = np.array(cut.getpalette(), np.uint8).reshape(-1, 3)[: ENTRIES - EXACT]
        return cls(np.concatenate([_unpacked(colours[:EXACT]), others]))

    def index(self, picture: np.ndarray, out: np.ndarray) -> None:
        """Entry of every pixel of an RGB picture, into `out` (height, width)."""
        import cv2

        code = cv2.cvtColor(picture, cv2.COLOR_BGR2BGR565).view(np.uint16)[..., 0]
        # the call takes its first channel as blue, so red comes out in the low bits
        np.take(self._swapped(), code, out=out)

    def _swapped(self) -> np.ndarray:
        if not hasattr(self, "_table_bgr"):
            code = np.arange(1 << 16)
            self._table_bgr = self.table[(code & 31) << 11 | (code >> 5 & 63) << 5 | code >> 11]
        return self._table_bgr

    def entries_bgra(self) -> np.ndarray:
        """The palette as 256 entries of blue, green, red, alpha; the last is transparent."""
        entries = np.zeros((256, 4), np.uint8)
        entries[: len(self.colours), :3] = self.colours[:, ::-1]
        entries[:255, 3] = 255
        return entries.ravel()


def _packed(picture: np.ndarray) -> np.ndarray:
    step = 2 if picture.shape[0] * picture.shape[1] > LARGE else 1
    flat = picture[::step, ::step].reshape(-1, 3).astype(np.uint32)
    return flat[:, 0] << 16 | flat[:, 1] << 8 | flat[:, 2]


def _unpacked(packed: np.ndarray) -> np.ndarray:
    return np.stack([packed >> 16 & 255, packed >> 8 & 255, packed & 255], axis=-1).astype(np.uint8)
