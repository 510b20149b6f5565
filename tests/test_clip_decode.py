"""SECOND METHOD: clips decoded by PyAV, frame by frame, against the pictures as drawn; PUBLISHED: ITU-R BT.601-7.

What the encoder, the halved colour planes and the palette leave of a picture: the writer's own tests read the
container, these read the pixels.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy import ndimage
from seen_colours import FULL, cover, panels_of, ratio
from seen_colours import luminance as light_of

from swimsim.view.clip import ClipOptions, picture, write_clip
from swimsim.view.colours import THEMES
from swimsim.view.scene import Scene

av = pytest.importorskip("av")
FPS, FRAMES = 25, 11
#: Mean difference of a frame [levels of 255]. A video has half the colour rows and columns: one level in flat parts
#: from rounding to video range, tens at the one-pixel edges of colours, which cover a few percent. A palette of 256
#: colours is nearer.
MEAN = {".mp4": 2.0, ".webm": 2.0, ".gif": 0.8}
FLAT = {
    ".mp4": 3,
    ".webm": 3,
    ".gif": 2,
}  # middle colour of a large part: two roundings, and the encoder's step
RINGING = 4  # levels by which the encoder overshoots beside thin lines
LUMA = 1.0  # mean difference of the luma plane, which is not halved [levels of 219]
OTHER_FRAME = (
    0.9  # a frame must be nearer to its own picture than this share of the distance to its neighbours
)
READABLE = 4.5  # WCAG 2.2, 1.4.3
#: Share of the pixels of letters that are readable: the encoder softens thin strokes; and of those of other letters,
#: which fall on some strokes by chance.
CLEAR, NOT_CLEAR = 0.8, 0.5
CASES = [(suffix, theme) for suffix in MEAN for theme in THEMES]


def options_of(theme):
    _, _, look = panels_of("dropped_elbow")
    return ClipOptions(look=replace(look, theme=theme), fps=FPS, seconds=FRAMES / FPS, end_card=False)


def at(frame):
    return frame / FPS


@pytest.fixture(scope="module", params=CASES, ids=lambda case: "-".join(case))
def clip(request, tmp_path_factory):
    """Suffix, theme, decoded frames as (RGB, luma or None), and the pictures drawn for them."""
    suffix, theme = request.param
    panels, _, _ = panels_of("dropped_elbow")
    path = tmp_path_factory.mktemp("clip") / f"pair{suffix}"
    assert write_clip(path, list(panels), options=options_of(theme)) == FRAMES
    with av.open(str(path)) as file:
        frames = [
            (f.to_ndarray(format="rgb24"), f.to_ndarray()[: f.height] if f.format.name == "yuv420p" else None)
            for f in file.decode(video=0)
        ]
    pictures = [picture(list(panels), at_s=at(i), options=options_of(theme)) for i in range(FRAMES)]
    return suffix, theme, frames, pictures


def away(one, other):
    return float(np.abs(one.astype(float) - other.astype(float)).mean())


def ink(theme, role):
    """Cover of a colour of the theme in the first picture."""
    panels, _, _ = panels_of("dropped_elbow")
    return cover(lambda t: picture(list(panels), at_s=0.0, options=options_of(t)), THEMES[theme], role)


def test_every_frame_is_the_picture_drawn_for_it(clip):
    suffix, _, frames, pictures = clip
    assert len(frames) == FRAMES
    for (seen, _), drawn in zip(frames, pictures, strict=True):
        assert seen.shape == drawn.shape
        assert away(seen, drawn) <= MEAN[suffix]


def test_no_frame_is_early_or_late(clip):
    """Each is nearest to its own picture, and clearly nearer than to the one before and after."""
    _, _, frames, pictures = clip
    for i, (seen, _) in enumerate(frames):
        own = away(seen, pictures[i])
        for j in (i - 1, i + 1):
            if 0 <= j < FRAMES:
                assert own < OTHER_FRAME * away(seen, pictures[j])


def test_colours_are_the_right_ones(clip):
    """The large parts of one colour: the strips of FAULT and CORRECT, page and water."""
    suffix, theme, frames, _ = clip
    for role in ("fault", "correct", "page"):
        inside = ndimage.binary_erosion(ink(theme, role) > FULL, iterations=3)
        assert inside.sum() > 500, role
        middle = np.median(frames[0][0][inside], axis=0)
        assert np.abs(middle - getattr(THEMES[theme], role)).max() <= FLAT[suffix], role


def test_luma_by_the_published_formula(clip):
    """Y = 16 + 65.481 R + 128.553 G + 24.966 B with R, G, B in 0..1 (ITU-R BT.601-7, 8 bits)."""
    suffix, _, frames, pictures = clip
    if suffix == ".gif":
        assert frames[0][1] is None
        return
    for (_, luma), drawn in zip(frames, pictures, strict=True):
        told = 16 + (drawn / 255.0) @ np.array([65.481, 128.553, 24.966])
        assert away(luma, told) <= LUMA
        assert np.quantile(luma, 0.001) >= 16 - RINGING and np.quantile(luma, 0.999) <= 235 + RINGING


@pytest.mark.parametrize(("role", "other"), [("on_fault", "on_correct"), ("on_correct", "on_fault")])
def test_the_first_frame_carries_the_word(clip, role, other):
    """The decoded letters of each header stand out from their strip; those of the other header are not there."""
    _, theme, frames, _ = clip
    panels, _, _ = panels_of("dropped_elbow")
    page = Scene(list(panels), [np.array([0.0])] * 2, look=options_of(theme).look).page
    boxes = {"on_fault": page.panels[0].header, "on_correct": page.panels[1].header}
    letters = {key: box.cut(ink(theme, key)) > FULL for key, box in boxes.items()}
    seen = boxes[role].cut(frames[0][0])
    strip = np.median(seen[~ndimage.binary_dilation(letters[role], iterations=2)], axis=0)
    clear = ratio(light_of(seen), light_of(strip)) >= READABLE
    assert letters[role].sum() > 400
    assert clear[letters[role]].mean() >= CLEAR
    assert clear[letters[other]].mean() < NOT_CLEAR
