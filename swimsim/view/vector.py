"""Stills as SVG: body, marks and words as shapes and text, the tinted grounds behind them as one small picture.

Words are text in the font of our pictures, with the room they take there, so that another font fits as well.
The file carries a title and a description for readers who do not see it.
"""

from __future__ import annotations

import base64
import io
import os
from collections.abc import Sequence
from pathlib import Path as FilePath
from xml.sax.saxutils import escape

import numpy as np

from swimsim.ground.atomic import whole_file
from swimsim.ground.conventions import MODEL_LINE
from swimsim.ground.records import Marks

from . import pens
from .cameras import VIEWS
from .clip import ClipOptions, scene_at
from .look import Look, Panel
from .strokes import EDGE_PX

FONT = "DejaVu Sans, Verdana, sans-serif"
MIDDLE = 0.5  # from the middle of a pixel to its corner [px]


def still_svg(
    path: str | os.PathLike, panels: Sequence[Panel], *, at_s: float, options: ClipOptions | None = None
) -> None:
    """Write one instant as an SVG, laid out like a clip; parameters and errors as `clip.still`."""
    text = svg(panels, at_s=at_s, options=options)
    with whole_file(path) as part:
        FilePath(part).write_text(text, encoding="utf-8", newline="\n")


def svg(panels: Sequence[Panel], *, at_s: float, options: ClipOptions | None = None) -> str:
    """The text of the SVG."""
    options = options or ClipOptions()
    scene = scene_at(panels, at_s=at_s, options=options)
    canvas = pens.sketch(scene.page.size)
    scene.draw_into(canvas)
    width, height = scene.page.size
    return "\n".join([
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" '
        f'height="{height}" role="img" aria-labelledby="title desc" font-family="{FONT}">',
        f'<title id="title">{escape(" beside ".join(filter(None, (_words(m) for _, m in panels))))}</title>',
        f'<desc id="desc">{escape(alt_text([m for _, m in panels], options.look))}</desc>',
        _picture(np.asarray(canvas), (0, 0)),
        *_shapes(canvas.log.items),
        "</svg>\n",
    ])  # fmt: skip


def alt_text(marks: Sequence[Marks], look: Look) -> str:
    """View, fault or correct, what is marked, and the number of each panel, in words."""
    view = look.views[0] if isinstance(look.views[0], str) else look.views[0].name
    words = f"View: {VIEWS[view].words if view in VIEWS else view}."
    for m in marks:
        limb = f"marked: {m.limb[0].replace('_', ' ')} to {m.limb[-1].replace('_', ' ')}" if m.limb else ""
        parts = [part for part in (_words(m), limb, m.value) if part]
        words += f" {'; '.join(parts)}." if parts else ""
    return f"{words} {MODEL_LINE}"


def _words(marks: Marks) -> str:
    return ": ".join(text for text in (marks.word, marks.title) if text)


def _shapes(items: list) -> list[str]:
    """Elements in drawing order; neighbours with the same edges share a group that cuts them there."""
    clips: dict[pens.Edges, str] = {}
    lines: list[str] = []
    inside: pens.Edges | None = None
    for item in items:
        edges = item.edges if isinstance(item, pens.Path) else None
        if edges != inside:
            lines += ["</g>"] if inside else []
            if edges:
                clips.setdefault(edges, f"c{len(clips)}")
                lines.append(f'<g clip-path="url(#{clips[edges]})">')
            inside = edges
        lines.append(_element(item))
    lines += ["</g>"] if inside else []
    return [_defs(clips), *lines]


def _defs(clips: dict[pens.Edges, str]) -> str:
    rects = (
        f'<clipPath id="{name}"><rect x="{x}" y="{y}" width="{w}" height="{h}"/></clipPath>'
        for (x, y, w, h), name in clips.items()
    )
    return f"<defs>{''.join(rects)}</defs>"


def _element(item) -> str:
    if isinstance(item, pens.Words):
        weight = ' font-weight="bold"' if item.bold else ""
        return (
            f'<text x="{item.at[0]:.1f}" y="{item.at[1]:.1f}" font-size="{item.size}" '
            f'textLength="{item.width:.1f}" lengthAdjust="spacingAndGlyphs" fill="{_hex(item.colour)}"{weight}>'
            f"{escape(item.text)}</text>"
        )
    if isinstance(item, pens.Pasted):
        return _picture(item.picture, item.at)
    ways = "".join("M" + " ".join(f"{x:.2f},{y:.2f}" for x, y in p + MIDDLE) for p in _closed(item))
    colour, share = _hex(item.colour), f' opacity="{item.share:g}"' if item.share < 1 else ""
    if item.width:
        end = "Z" if item.closed else ""
        return (
            f'<path d="{ways}{end}" fill="none" stroke="{colour}" stroke-width="{item.width:g}" '
            f'stroke-linecap="round" stroke-linejoin="round"{share}/>'
        )
    # filled shapes were drawn smaller by what the soft edge of our pen adds
    edge = f' stroke="{colour}" stroke-width="{2 * EDGE_PX:g}" stroke-linejoin="round"'
    return f'<path d="{ways}Z" fill="{colour}"{edge}{share}/>'


def _closed(item: pens.Path) -> list[np.ndarray]:
    """The pieces without corners that repeat the one before."""
    return [p[np.r_[True, (np.diff(p, axis=0) != 0).any(1)]] for p in item.pieces]


def _hex(colour: pens.Colour) -> str:
    return "#{:02X}{:02X}{:02X}".format(*colour)


def _picture(picture: np.ndarray, at: tuple[int, int]) -> str:
    from PIL import Image

    data = io.BytesIO()
    Image.fromarray(np.ascontiguousarray(picture)).save(data, format="PNG", optimize=True)
    high, wide = picture.shape[:2]
    code = base64.b64encode(data.getvalue()).decode("ascii")
    return (
        f'<image x="{at[0]}" y="{at[1]}" width="{wide}" height="{high}" href="data:image/png;base64,{code}"/>'
    )
