"""Moving pictures and stills on disk: MP4 (H.264, yuv420p, faststart), GIF with one shared palette, PNG.

Frames are piped one by one into the ffmpeg that the package imageio-ffmpeg brings, by a thread of its own, so
that drawing and encoding overlap and memory does not grow with the length of a clip. Files are written whole
or not at all.
"""

from __future__ import annotations

import os
import subprocess
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from queue import Queue
from threading import Thread
from typing import NamedTuple

import numpy as np

from swimsim.ground.atomic import whole_file
from swimsim.ground.conventions import MODEL_LINE
from swimsim.ground.errors import InputError, MachineError

from .layout import Box
from .palette import Palette

SLOTS = 6  # frames between drawing and encoding
PIPE_BYTES = 1 << 20
STRIP_BYTES = 160_000
CRF = 18  # quality at which ringing beside thin lines cannot be seen
WEBM_CRF = 30  # of the VP9 encoder, for about the same look

Fill = Callable[..., object]


class Shown(NamedTuple):
    """A picture (height, width, 3) that differs from the one before it with the same `still` only in `moving`.

    The boxes have even edges. Where `still` is another object, all of the picture may be new.
    """

    picture: np.ndarray
    moving: tuple[Box, ...]
    still: object


def ffmpeg_path() -> str:
    """The encoder program.

    Raises
    ------
    MachineError
        It is not there; the text says what to install.
    """
    remedy = "moving pictures need a video writer; install it with: pip install imageio-ffmpeg"
    try:
        import imageio_ffmpeg

        return imageio_ffmpeg.get_ffmpeg_exe()
    except (ImportError, RuntimeError, OSError) as error:
        raise MachineError(f"{remedy} ({error})") from error


def write_mp4(
    path: str | os.PathLike,
    frames: Iterable[np.ndarray | Shown],
    *,
    size: tuple[int, int],
    fps: float,
    crf: int = CRF,
    video: bool = False,
) -> int:
    """Write pictures as an MP4 that plays everywhere; returns the number of frames.

    Parameters
    ----------
    path : path of the file
    frames : iterable of numpy.ndarray, shape (height, width, 3), uint8, or of Shown
        Each is used before the next is asked for, so one array may serve for all.
    size : (int, int)
        Width and height, both even. [px]
    fps : float
        Frames per second.
    video : bool
        The pictures hold Y, U, V of BT.601 in video range (`Theme.in_video`) instead of red, green, blue.

    Raises
    ------
    InputError
        Odd size, no frames, a place that cannot be written.
    MachineError
        No encoder, or it failed.
    """
    return _write_video(path, frames, _mp4_command, size=size, fps=fps, crf=crf, video=video)


def write_webm(
    path: str | os.PathLike,
    frames: Iterable[np.ndarray | Shown],
    *,
    size: tuple[int, int],
    fps: float,
    crf: int = WEBM_CRF,
    video: bool = False,
) -> int:
    """Write pictures as a WebM (VP9), at the encoder's fastest settings; parameters and errors as `write_mp4`.

    At these settings it takes about as long as an MP4 and half as much room again.
    """
    return _write_video(path, frames, _webm_command, size=size, fps=fps, crf=crf, video=video)


def _write_video(
    path, frames, command: Callable[..., list[str]], *, size, fps: float, crf: int, video: bool
) -> int:
    width, height = _even(size)
    fill = planes_of(size) if video else _planes_of_rgb
    with whole_file(path) as part:
        pipe = _Pipe(command(part, size, fps=fps, crf=crf), (height * 3 // 2, width))
        return pipe.run(frames, fill)


def _planes_of_rgb(picture: np.ndarray, out: np.ndarray, moving: tuple[Box, ...] | None = None) -> None:
    import cv2

    if moving != ():
        cv2.cvtColor(picture, cv2.COLOR_RGB2YUV_I420, dst=out)


def planes_of(size: tuple[int, int]) -> Fill:
    """A function that lays the planes of a Y, U, V picture into `out` (height * 3 / 2, width).

    U and V are halved both ways. It works in strips that stay in the cache, twice as fast as whole planes, and
    only on the boxes that moved if it is told which.
    """
    import cv2

    width, height = size
    whole = (Box(0, 0, width, height),)
    spare = np.empty((2, max(STRIP_BYTES, 2 * width)), np.uint8)

    def fill(picture: np.ndarray, out: np.ndarray, moving: tuple[Box, ...] | None = None) -> None:
        chroma = out[height:].reshape(2, height // 2, width // 2)
        for box in whole if moving is None else moving:
            rows, right = max(2, STRIP_BYTES // box.w // 2 * 2), box.x + box.w
            full = [plane[: rows * box.w].reshape(rows, box.w) for plane in spare]
            for top in range(box.y, box.y + box.h, rows):
                low = min(top + rows, box.y + box.h)
                pair = [plane[: low - top] for plane in full]
                cv2.split(picture[top:low, box.x : right], [out[top:low, box.x : right], *pair])
                for plane, place in zip(pair, chroma, strict=True):
                    half = place[top // 2 : low // 2, box.x // 2 : right // 2]
                    cv2.resize(plane, half.shape[::-1], dst=half, interpolation=cv2.INTER_AREA)

    return fill


def write_gif(
    path: str | os.PathLike,
    frames: Iterable[np.ndarray],
    *,
    size: tuple[int, int],
    fps: float,
    palette: Palette,
) -> int:
    """Write RGB pictures as an endless GIF with one palette; returns the number of frames.

    `palette` is made from a few of the pictures (`Palette.of`). Other parameters and errors as `write_mp4`,
    but any size will do.
    """
    width, height = size
    shape = (height * width + 1024,)
    entries = palette.entries_bgra()

    def fill(picture: np.ndarray, out: np.ndarray, moving: tuple[Box, ...] | None = None) -> None:
        if moving == ():
            return
        palette.index(picture, out[: height * width].reshape(height, width))
        out[height * width :] = entries

    with whole_file(path) as part:
        return _Pipe(_gif_command(part, size, fps=fps), shape).run(frames, fill)


def write_png(path: str | os.PathLike, picture: np.ndarray, *, dots_per_inch: int | None = None) -> None:
    """Write one RGB picture; the file also carries the model line as a text field, and its size on paper."""
    from PIL import Image, PngImagePlugin

    note = PngImagePlugin.PngInfo()
    note.add_text("Description", MODEL_LINE)
    with whole_file(path) as part:
        Image.fromarray(np.ascontiguousarray(picture)).save(
            part, format="PNG", pnginfo=note, compress_level=6,
            **({"dpi": (dots_per_inch, dots_per_inch)} if dots_per_inch else {}),
        )  # fmt: skip


def _even(size: tuple[int, int]) -> tuple[int, int]:
    width, height = size
    if width % 2 or height % 2:
        raise InputError(
            f"size: expected even numbers of pixels for MP4, got {width} x {height}; "
            f"nearest: {width - width % 2} x {height - height % 2}"
        )
    return width, height


def _mp4_command(path: Path, size: tuple[int, int], *, fps: float, crf: int) -> list[str]:
    return [
        *_raw_input("yuv420p", size, fps), "-an", "-c:v", "libx264", "-preset", "veryfast", "-bf", "0",
        "-crf", str(crf),
        "-x264-params", "colorprim=smpte170m:transfer=smpte170m:colormatrix=smpte170m:fullrange=off",
        "-pix_fmt", "yuv420p", "-metadata", f"comment={MODEL_LINE}", "-movflags", "+faststart",
        "-f", "mp4", str(path),
    ]  # fmt: skip


def _webm_command(path: Path, size: tuple[int, int], *, fps: float, crf: int) -> list[str]:
    return [
        *_raw_input("yuv420p", size, fps), "-an", "-c:v", "libvpx-vp9", "-deadline", "realtime", "-cpu-used", "8",
        "-row-mt", "1", "-tile-columns", "2", "-crf", str(crf), "-b:v", "0", "-pix_fmt", "yuv420p",
        "-colorspace", "smpte170m", "-color_primaries", "smpte170m", "-color_trc", "smpte170m",
        "-color_range", "tv", "-metadata", f"comment={MODEL_LINE}", "-f", "webm", str(path),
    ]  # fmt: skip


def _gif_command(path: Path, size: tuple[int, int], *, fps: float) -> list[str]:
    return [*_raw_input("pal8", size, fps), "-c:v", "gif", "-loop", "0", "-f", "gif", str(path)]


def _raw_input(layout: str, size: tuple[int, int], fps: float) -> list[str]:
    return [
        ffmpeg_path(), "-hide_banner", "-v", "error", "-y", "-f", "rawvideo", "-pix_fmt", layout,
        "-s", f"{size[0]}x{size[1]}", "-framerate", f"{fps:.6f}", "-i", "pipe:0",
    ]  # fmt: skip


class _Pipe:
    """An encoder process and the thread that feeds it from a small ring of buffers."""

    def __init__(self, command: list[str], shape: tuple[int, ...]):
        self.free: Queue = Queue()
        self.full: Queue = Queue()
        self.broken: OSError | None = None
        for _ in range(SLOTS):
            self.free.put(np.empty(shape, np.uint8))
        self.log = tempfile.TemporaryFile()  # noqa: SIM115 (closed in _finish)
        try:
            self.process = subprocess.Popen(
                command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=self.log, bufsize=0
            )
        except OSError as error:
            self.log.close()
            raise MachineError(
                f"the video writer cannot be started ({error}); reinstall imageio-ffmpeg"
            ) from error
        _widen(self.process.stdin)
        self.thread = Thread(target=self._feed, daemon=True)
        self.thread.start()

    def run(self, frames: Iterable[np.ndarray | Shown], fill: Fill) -> int:
        """Send all frames through `fill(picture, buffer, moving)`; returns how many there were.

        Buffers remember which still layer they hold, so that only what moves is converted again.
        """
        count, holds = 0, {}
        try:
            for frame in frames:
                count += 1
                buffer = self.free.get()
                if self.broken:
                    break
                shown = frame if isinstance(frame, Shown) else Shown(frame, (), None)
                fresh = shown.still is None or holds.get(id(buffer)) is not shown.still
                fill(shown.picture, buffer, None if fresh else shown.moving)
                holds[id(buffer)] = shown.still
                self.full.put(buffer)
            if count == 0:
                raise InputError("clip: expected one frame or more, got none")
        except BaseException:
            self.process.kill()
            self._finish()
            raise
        self._finish()
        return count

    def _finish(self) -> None:
        """Wait for the encoder; complain if it failed of its own accord."""
        self.full.put(None)
        self.thread.join()
        code = self.process.wait()
        self.log.seek(0)
        said = self.log.read().decode(errors="replace").strip()
        self.log.close()
        if code > 0 or (code == 0 and self.broken):
            raise MachineError(f"the video writer failed (exit code {code}): {said[-500:] or self.broken}")

    def _feed(self) -> None:
        """Write buffers until the end mark; after a broken pipe only hand them back."""
        while (buffer := self.full.get()) is not None:
            if self.broken is None:
                try:
                    _write_all(self.process.stdin, buffer)
                except OSError as error:
                    self.broken = error
            self.free.put(buffer)
        try:
            self.process.stdin.close()
        except OSError as error:
            self.broken = self.broken or error


def _write_all(stream, buffer: np.ndarray) -> None:
    rest = memoryview(buffer).cast("B")
    while rest:
        rest = rest[stream.write(rest) :]


def _widen(stream) -> None:
    """A larger pipe where the system allows it: fewer switches between the two programs."""
    try:
        import fcntl

        fcntl.fcntl(stream, fcntl.F_SETPIPE_SZ, PIPE_BYTES)
    except (ImportError, AttributeError, OSError):
        return
