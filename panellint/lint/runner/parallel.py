"""Many files linted one after the other, or in several processes, in the same order."""

import os
import sys
import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from itertools import islice
from typing import TextIO, TypeVar

from panellint.core.errors import PanellintError

Item = TypeVar("Item")
Result = TypeVar("Result")

# Files handed to a process at once, and batches under way per process: enough to keep each
# busy, few enough that memory does not grow with the number of files.
BATCH = 16
AHEAD = 3

SECONDS_BEFORE_PROGRESS = 2.0
SECONDS_BETWEEN = 0.1


def run(work: Callable[[Item], Result], items: Sequence[Item], jobs: int = 1) -> Iterator[Result]:
    """Yields the result of each item, in the order of the items, in this process or in several.

    With several, `work` must be a function of a module, and items and results must pickle. Closing
    the iterator early, as Ctrl-C does, ends the processes at once. Raises PanellintError when one
    of them dies.
    """
    if jobs <= 1 or len(items) <= 1:
        yield from map(work, items)
        return
    yield from _in_processes(work, items, min(jobs, -(-len(items) // BATCH)))


def _in_processes(
    work: Callable[[Item], Result], items: Sequence[Item], jobs: int
) -> Iterator[Result]:
    import multiprocessing
    from concurrent.futures import Future, ProcessPoolExecutor
    from concurrent.futures.process import BrokenProcessPool

    batches = (items[at : at + BATCH] for at in range(0, len(items), BATCH))
    # A fork would copy the locks of threads that it does not copy; a new process has none.
    fresh = multiprocessing.get_context("spawn")
    executor = ProcessPoolExecutor(jobs, fresh, initializer=_begin)
    under_way: deque[Future[list[Result]]] = deque()
    try:
        while True:
            for batch in islice(batches, jobs * AHEAD - len(under_way)):
                under_way.append(executor.submit(_each, work, batch))
            if not under_way:
                break
            yield from under_way.popleft().result()
    except BrokenProcessPool:
        raise PanellintError("a process of --jobs ended before its work was done") from None
    except BaseException:
        for child in multiprocessing.active_children():
            child.terminate()
        executor.shutdown(cancel_futures=True)
        raise
    executor.shutdown()


def _each(work: Callable[[Item], Result], batch: Sequence[Item]) -> list[Result]:
    return [work(item) for item in batch]


def _begin() -> None:
    """Ignores interrupts: Ctrl-C reaches the whole group; the first process alone answers it.
    However that one ends, this one ends with it."""
    import multiprocessing
    import signal
    import threading

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    first = multiprocessing.parent_process()

    def follow() -> None:
        if first is not None:
            first.join()
        os._exit(1)

    threading.Thread(target=follow, daemon=True).start()


class Progress:
    """A line on the terminal that says how far a long run is; nothing anywhere else."""

    def __init__(self, total: int, stream: TextIO | None = None, what: str = "labels") -> None:
        self.done = 0
        self._what = what
        self.total = total
        self._stream = stream if stream is not None else sys.stderr
        self._wanted = self._stream.isatty()
        self._next = time.monotonic() + SECONDS_BEFORE_PROGRESS
        self._shown = False

    def __enter__(self) -> "Progress":
        return self

    def __exit__(self, *_error: object) -> None:
        self.hide()

    def step(self) -> None:
        """Counts one of them more as done."""
        self.show(self.done + 1, self.total)

    def show(self, done: int, total: int) -> None:
        """Shows that so many of all are done."""
        self.done, self.total = done, total
        if self._wanted and time.monotonic() >= self._next:
            self._next = time.monotonic() + SECONDS_BETWEEN
            width = 30
            filled = width * self.done // self.total
            bar = "#" * filled + "." * (width - filled)
            self._stream.write(f"\r[{bar}] {self.done:,} of {self.total:,} {self._what}")
            self._stream.flush()
            self._shown = True

    def hide(self) -> None:
        """Wipes the line, so that other output can be written."""
        if self._shown:
            self._stream.write("\r\x1b[K")
            self._stream.flush()
            self._shown = False
