"""Moving pictures and stills on disk: MP4 (H.264, yuv420p, faststart), GIF with one shared palette, PNG.

Frames are piped one by one into the ffmpeg that the package imageio-ffmpeg brings, by a thread of its own, so
that drawing and encoding overlap and memory does not grow with the length of a clip. Files are written whole
or not at all.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from pathlib import Path

import numpy as np

from swimsim.ground.atomic import whole_file
from swimsim.ground.conventions import MODEL_LINE
from swimsim.ground.errors import InputError, MachineError

from .palette import Palette
from .pipe import Fill, Pipe, Shown

STRIP_BYTES = 160_000
CRF = 18  # quality at which ringing beside thin lines cannot be seen
WEBM_CRF = 30  # of the VP9 encoder, for about the same look


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
        pipe = Pipe(command(part, size, fps=fps, crf=crf), (height * 3 // 2, width))
        return pipe.run(frames, fill)


def _planes_of_rgb(picture: np.ndarray, out: np.ndarray, rows: tuple[int, int] | None = None) -> None:
    import cv2

    if rows is None or rows[1] > rows[0]:
        cv2.cvtColor(picture, cv2.COLOR_RGB2YUV_I420, dst=out)


def planes_of(size: tuple[int, int]) -> Fill:
    """A function that lays the planes of a Y, U, V picture into `out` (height * 3 / 2, width).

    U and V are halved both ways. It works in strips that stay in the cache, twice as fast as whole planes, and
    only on the rows that may have changed if it is told which. (Boxes instead of whole rows are slower.)
    """
    import cv2

    width, height = size
    high = max(2, STRIP_BYTES // width // 2 * 2)
    spare = np.empty((2, high, width), np.uint8)

    def fill(picture: np.ndarray, out: np.ndarray, rows: tuple[int, int] | None = None) -> None:
        if not isinstance(picture, np.ndarray):
            return picture.lay(out, fresh=rows is None)
        chroma = out[height:].reshape(2, height // 2, width // 2)
        first, last = rows or (0, height)
        for top in range(first, last, high):
            low = min(top + high, last)
            full = [plane[: low - top] for plane in spare]
            cv2.split(picture[top:low], [out[top:low], *full])
            for plane, place in zip(full, chroma, strict=True):
                half = place[top // 2 : low // 2]
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

    def fill(picture: np.ndarray, out: np.ndarray, rows: tuple[int, int] | None = None) -> None:
        first, last = rows or (0, height)
        places = out[first * width : last * width].reshape(last - first, width)
        if last > first:
            palette.index(picture[first:last], places)
        out[height * width :] = entries

    with whole_file(path) as part:
        return Pipe(_gif_command(part, size, fps=fps), shape).run(frames, fill)


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
