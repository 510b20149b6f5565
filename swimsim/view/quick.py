"""Compiled filling of polygons, for those who installed the extra `fast`.

Polygons go straight into the Y, U, V planes that the encoder takes: Y as they are, U and V at half the size. The
coverage of a pixel is the share of its row between top and low end of the polygon times the width of the span
in the middle of that share, with edges as wide as their slope makes them: exact for straight edges but for the
rounding of their ramps. What was drawn is kept in a map of tiles, so that the next picture in the same buffer
restores only those.
"""

from __future__ import annotations

from math import ceil, floor, sqrt

import numpy as np
from numba import njit

TILE = 16  # side of a tile [px]
HALF, ZERO, ONE, SOLID = np.float32(0.5), np.float32(0.0), np.float32(1.0), np.float32(0.996)
ALONG = np.uint64(1)
MITRE = 0.35  # least share by which sharp corners are cut when a polygon grows
_how = {"cache": True, "fastmath": True, "boundscheck": False, "nogil": True, "error_model": "numpy"}


@njit(**_how)
def _outline(points, start, count, grow, out):
    """Corners of a convex polygon grown on all sides, into `out` (2, c); returns how many there are. [px]

    It has `count` points from `start` on; those that lie on each other are taken as one.
    """
    n, area = 0, 0.0
    for i in range(start, start + count):
        x, y = points[i, 0] / 16.0, points[i, 1] / 16.0
        if n and abs(x - out[0, n - 1]) + abs(y - out[1, n - 1]) < 0.1:
            continue
        out[0, n], out[1, n] = x, y
        n += 1
    while n > 1 and abs(out[0, 0] - out[0, n - 1]) + abs(out[1, 0] - out[1, n - 1]) < 0.1:
        n -= 1
    for i in range(n):
        j = i + 1 if i + 1 < n else 0
        area += out[0, i] * out[1, j] - out[0, j] * out[1, i]
    if n < 3 or grow == 0.0:
        return n
    way = grow if area > 0 else -grow
    x0, y0 = out[0, 0], out[1, 0]
    dx, dy = x0 - out[0, n - 1], y0 - out[1, n - 1]
    length = sqrt(dx * dx + dy * dy)
    ax, ay = dy / length, -dx / length
    for i in range(n):
        x, y = out[0, i], out[1, i]
        nx, ny = (out[0, i + 1], out[1, i + 1]) if i + 1 < n else (x0, y0)
        dx, dy = nx - x, ny - y
        length = sqrt(dx * dx + dy * dy)
        bx, by = dy / length, -dx / length
        push = way / max(1.0 + ax * bx + ay * by, MITRE)
        out[0, i], out[1, i] = x + push * (ax + bx), y + push * (ay + by)
        if grow < 0 and i and ax * (out[1, i] - out[1, i - 1]) < ay * (out[0, i] - out[0, i - 1]):
            return 0  # shrunk to nothing: an edge runs backwards
        ax, ay = bx, by
    return n


@njit(**_how)
def _slopes(out, n, slants):
    """dx/dy of every edge of an outline, half the width of its ramp over a whole row, and the rise per pixel."""
    for i in range(n):
        j = i + 1 if i + 1 < n else 0
        dy = out[1, j] - out[1, i]
        slope = (out[0, j] - out[0, i]) / (dy if abs(dy) > 1e-4 else 1e-4)
        wide = sqrt(1.0 + slope * slope)
        slants[0, i], slants[1, i], slants[2, i] = slope, 0.5 * wide, 1.0 / wide


@njit(**_how)
def _sides(out, n, slants, rows, sides):
    """Where the two chains of edges cross the middle of each row: x, half width of the ramp, rise per pixel."""
    first, last = rows
    for i in range(n):
        j = i + 1 if i + 1 < n else 0
        side, high, deep = 0, i, j
        if out[1, j] < out[1, i]:
            side, high, deep = 1, j, i
        begin, end = max(ceil(out[1, high]), first), min(ceil(out[1, deep]), last)
        slope = slants[0, i]
        x, half, per = np.float32(out[0, high] - slope * out[1, high]), slants[1, i], slants[2, i]
        for row in range(begin, end):
            at = np.uint64(row - first)
            sides[side, 0, at] = x + slope * np.float32(row)
            sides[side, 1, at], sides[side, 2, at] = half, per


@njit(**_how)
def _side(out, n, slants, y, part, at, sides):
    """The same for the first or last row, of which the outline covers a part around `y`."""
    for i in range(n):
        j = i + 1 if i + 1 < n else 0
        side, high, deep = 0, i, j
        if out[1, j] < out[1, i]:
            side, high, deep = 1, j, i
        if out[1, high] <= y and y < out[1, deep]:
            wide = sqrt(1.0 + (slants[0, i] * part) ** 2)
            sides[side, 0, at] = out[0, high] + slants[0, i] * (y - out[1, high])
            sides[side, 1, at], sides[side, 2, at] = 0.5 * wide, 1.0 / wide


@njit(**_how)
def _mix(flat, at, tone, cover):
    """Lay a tone over one pixel."""
    old = np.float32(flat[at])
    flat[at] = np.uint8(old + (tone - old) * cover + HALF)


@njit(**_how)
def _span(flat, row, x0, x3, span, tone):
    """Fill a row that begins at `row` between two slanted edges: mixed at both, plain between them."""
    at_l, per_l, at_r, per_r, most = span
    if most < SOLID:  # also where the span is thin
        for x in range(np.uint64(x0), np.uint64(x3)):
            a = min(max(at_l + np.float32(x) * per_l, ZERO), ONE)
            b = min(max(at_r - np.float32(x) * per_r, ZERO), ONE)
            _mix(flat, row + x, tone, max(a + b - ONE, ZERO) * abs(most))
        return
    first, last = np.uint64(x0), np.uint64(x3)
    while first < last:
        cover = at_l + np.float32(first) * per_l
        if cover >= ONE:
            break
        _mix(flat, row + first, tone, max(cover, ZERO))
        first += ALONG
    while last > first:
        cover = at_r - np.float32(last - ALONG) * per_r
        if cover >= ONE:
            break
        last -= ALONG
        _mix(flat, row + last, tone, max(cover, ZERO))
    plain = np.uint8(tone)
    for x in range(first, last):
        flat[row + x] = plain


@njit(**_how)
def _fill(flat, place, out, n, slants, box, tones, share, sides):
    """Fill one outline (2, n) [px] inside a box of one plane, or of two alike.

    `place` is where the plane begins, its width, and how far on a second one is (0: none); `box` is left, top,
    right, low, and the row from which the lower of the `tones` (above and below, planes) hold.
    """
    start, stride, second = place
    x_first, y_first, x_last, y_last, change = box
    top, low = out[1, 0], out[1, 0]
    for i in range(1, n):
        top, low = min(top, out[1, i]), max(low, out[1, i])
    begin, end = floor(top + 0.5), floor(low + 0.5) + 1
    first, last = max(begin, y_first), min(end, y_last)
    if first >= last:
        return
    _sides(out, n, slants, (first, last), sides)
    for row in range(first, last):
        at, part = np.uint64(row - first), 1.0
        if row == begin or row == end - 1:
            high, deep = max(top, row - 0.5), min(low, row + 0.5)
            part = deep - high
            if part <= 0.004:
                continue
            _side(out, n, slants, (high + deep) / 2, part, at, sides)
        left, half_l, per_l = sides[0, 0, at], sides[0, 1, at], sides[0, 2, at]
        right, half_r, per_r = sides[1, 0, at], sides[1, 1, at], sides[1, 2, at]
        if left > right:
            left, right, half_l, half_r, per_l, per_r = right, left, half_r, half_l, per_r, per_l
        x0, x3 = max(ceil(left - half_l), x_first), min(floor(right + half_r) + 1, x_last)
        if x0 >= x3:
            continue
        most = np.float32(part * share)
        if left + half_l + ONE > right - half_r:
            most = -most
        span = (HALF - left * per_l, per_l, HALF + right * per_r, per_r, most)
        side, line = 0 if row < change else 1, start + row * stride
        _span(flat, np.uint64(line), x0, x3, span, tones[side, 0])
        if second:
            _span(flat, np.uint64(line + second), x0, x3, span, tones[side, 1])


@njit(**_how)
def _mark(tiles, reach):
    """Mark the tiles that pixels from (left, top) to before (right, low) lie in."""
    left, top, right, low = reach
    for i in range(max(top // TILE, 0), min((low - 1) // TILE + 1, tiles.shape[0])):
        for j in range(max(left // TILE, 0), min((right - 1) // TILE + 1, tiles.shape[1])):
            tiles[i, j] = 1


@njit(**_how)
def _paste(bright, colour, picture, box, left, top):
    """Lay a picture (h, w, 3) into the planes; U and V are averaged over the pixels that it covers."""
    for i in range(max(0, box[1] - top), min(picture.shape[0], box[3] - top)):
        for j in range(max(0, box[0] - left), min(picture.shape[1], box[2] - left)):
            y, x = top + i, left + j
            bright[y, x] = picture[i, j, 0]
            for p in range(2):
                old = np.float32(colour[p, y // 2, x // 2])
                share = 1.0 / (1 + 2 * (y % 2) + x % 2)  # a running mean over the four
                colour[p, y // 2, x // 2] = np.uint8(old + (picture[i, j, p + 1] - old) * share + 0.5)


@njit(**_how)
def restore(buffer, still, tiles):
    """Copy the marked tiles of Y, U, V planes (1.5 h, w) from the still layer, and forget the marks."""
    width, height = buffer.shape[1], buffer.shape[0] * 2 // 3
    size, half = height * width, width // 2
    new, old = buffer.reshape(-1), still.reshape(-1)
    for i in range(tiles.shape[0]):
        j = 0
        while j < tiles.shape[1]:
            if not tiles[i, j]:
                j += 1
                continue
            left = j * TILE
            while j < tiles.shape[1] and tiles[i, j]:
                tiles[i, j] = 0
                j += 1
            right = min(j * TILE, width)
            for y in range(i * TILE, min((i + 1) * TILE, height)):
                for k in range(np.uint64(y * width + left), np.uint64(y * width + right)):
                    new[k] = old[k]
            for y in range(i * TILE // 2, min((i + 1) * TILE, height) // 2):
                for start in (size, size + size // 4):
                    at = start + y * half
                    for k in range(np.uint64(at + left // 2), np.uint64(at + right // 2)):
                        new[k] = old[k]


@njit(**_how)
def _bounds(out, n, box):
    """Move an outline to its box; returns the tiles' range that it touches there, empty if none."""
    left, right, top, low = 1e9, -1e9, 1e9, -1e9
    for i in range(n):
        x, y = out[0, i] + box[0], out[1, i] + box[1]
        out[0, i], out[1, i] = x, y
        left, right, top, low = min(left, x), max(right, x), min(top, y), max(low, y)
    return (
        max(int(max(left, -9.0)) - 2, box[0]), max(int(max(top, -9.0)) - 2, box[1]),
        min(int(min(right, 1e6)) + 3, box[2]), min(int(min(low, 1e6)) + 3, box[3]),
    )  # fmt: skip


@njit(**_how)
def draw(buffer, tiles, heap, first, last):
    """Fill the polygons `first` to before `last` of a heap into Y, U, V planes (1.5 h, w), and mark their tiles."""
    points, table, tones, reals, boxes, flat, places = heap
    width, height = buffer.shape[1], buffer.shape[0] * 2 // 3
    bright = buffer[:height]
    colour = buffer[height:].reshape(2, height // 2, width // 2)
    flat_planes, size = buffer.reshape(-1), width * height
    most = 3
    for k in range(first, last):
        most = max(most, table[k, 1])
    out, slants = np.empty((2, most), np.float32), np.empty((3, most), np.float32)
    sides = np.empty((2, 3, height), np.float32)
    bright_tones, tints = np.zeros((2, 2), np.float32), np.zeros((2, 2), np.float32)
    for k in range(first, last):
        start, stamp, number = table[k, 0], table[k, 4], table[k, 2]
        box = (int(boxes[number, 0]), int(boxes[number, 1]), int(boxes[number, 2]), int(boxes[number, 3]))
        if stamp >= 0:
            at, high, wide = places[stamp, 0], places[stamp, 1], places[stamp, 2]
            left, top = box[0] + points[start, 0] // 16, box[1] + points[start, 1] // 16
            picture = flat[at : at + high * wide * 3].reshape(high, wide, 3)
            _paste(bright, colour, picture, box, left, top)
            _mark(
                tiles,
                (max(left, box[0]), max(top, box[1]), min(left + wide, box[2]), min(top + high, box[3])),
            )
            continue
        n = _outline(points, start, table[k, 1], reals[k, 0], out)
        if n < 3:
            continue
        reach = _bounds(out, n, box)
        if reach[0] >= reach[2] or reach[1] >= reach[3]:
            continue
        _mark(tiles, reach)
        for i in range(2):
            bright_tones[i, 0] = tones[k, 3 * i]
            tints[i, 0], tints[i, 1] = tones[k, 3 * i + 1], tones[k, 3 * i + 2]
        share, change = reals[k, 1], table[k, 3] + box[1]
        _slopes(out, n, slants)
        whole = (box[0], box[1], box[2], box[3], change)
        _fill(flat_planes, (0, width, 0), out, n, slants, whole, bright_tones, share, sides)
        if table[k, 5]:
            continue
        for i in range(n):
            out[0, i], out[1, i] = (out[0, i] - 0.5) / 2, (out[1, i] - 0.5) / 2
        half = (box[0] // 2, box[1] // 2, (box[2] + 1) // 2, (box[3] + 1) // 2, change // 2)
        _fill(flat_planes, (size, width // 2, size // 4), out, n, slants, half, tints, share, sides)
