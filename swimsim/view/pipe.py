"""The way from drawn pictures into an encoder: a process, a thread that feeds it, and a ring of buffers."""

from __future__ import annotations

import re
import subprocess
import tempfile
from collections.abc import Callable, Iterable
from queue import Queue
from threading import Thread
from typing import NamedTuple

import numpy as np

from swimsim.ground.errors import InputError, MachineError

SLOTS = 6  # frames between drawing and encoding
PIPE_BYTES = 1 << 20
KILLED = "it was stopped from outside: too little memory, or the file got too large"
FULL = "No space left on device"

Fill = Callable[..., object]


class Shown(NamedTuple):
    """A picture (height, width, 3) that differs from others with the same `still` only in `rows`, from top to low.

    The rows are even. Where `still` is another object, all of the picture may be new.
    """

    picture: np.ndarray
    rows: tuple[int, int]
    still: object


class Pipe:
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
        widen(self.process.stdin)
        self.thread = Thread(target=self._feed, daemon=True)
        self.thread.start()

    def run(self, frames: Iterable[np.ndarray | Shown], fill: Fill) -> int:
        """Send all frames through `fill(picture, buffer, rows)`; returns how many there were.

        Buffers remember which still layer they hold, so that only what may have changed is converted again.
        """
        count, holds = 0, {}
        try:
            for frame in frames:
                count += 1
                buffer = self.free.get()
                if self.broken:
                    break
                shown = frame if isinstance(frame, Shown) else Shown(frame, (0, 0), None)
                fresh = shown.still is None or holds.get(id(buffer)) is not shown.still
                fill(shown.picture, buffer, None if fresh else shown.rows)
                holds[id(buffer)] = shown.still
                self.full.put(buffer)
            if count == 0:
                raise InputError("clip: expected one frame or more, got none")
        except BaseException:
            self.process.kill()
            self._finish(stopped=True)
            raise
        self._finish()
        return count

    def _finish(self, *, stopped: bool = False) -> None:
        """Wait for the encoder; complain if it failed, or was killed by anybody but us (`stopped`)."""
        self.full.put(None)
        self.thread.join()
        code = self.process.wait()
        self.log.seek(0)
        said = self.log.read().decode(errors="replace").strip()
        self.log.close()
        if code > 0 or (code == 0 and self.broken) or (code < 0 and not stopped):
            raise MachineError(f"the video writer failed (exit code {code}): {self._why(code, said)}")

    def _why(self, code: int, said: str) -> str:
        """Why the encoder failed, in one line: the first thing that it said."""
        if FULL in said:
            return f"{FULL}; free some space or choose another place"
        first = re.sub(r"^(\[[^]]*\] )+", "", said.partition("\n")[0])
        return first[:500] or (KILLED if code < 0 else str(self.broken))

    def _feed(self) -> None:
        """Write buffers until the end mark; after a broken pipe only hand them back."""
        while (buffer := self.full.get()) is not None:
            if self.broken is None:
                try:
                    write_all(self.process.stdin, buffer)
                except OSError as error:
                    self.broken = error
            self.free.put(buffer)
        try:
            self.process.stdin.close()
        except OSError as error:
            self.broken = self.broken or error


def write_all(stream, buffer: np.ndarray) -> None:
    rest = memoryview(buffer).cast("B")
    while rest:
        rest = rest[stream.write(rest) :]


def widen(stream) -> None:
    """A larger pipe where the system allows it: fewer switches between the two programs."""
    try:
        import fcntl

        fcntl.fcntl(stream, fcntl.F_SETPIPE_SZ, PIPE_BYTES)
    except (ImportError, AttributeError, OSError):
        return
