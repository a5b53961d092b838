"""One file linted, and many: one after the other, or in several processes, in the same order."""

from __future__ import annotations

import os
import sys
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import KW_ONLY, dataclass
from fnmatch import fnmatchcase
from itertools import islice
from typing import TYPE_CHECKING, NamedTuple, TextIO, TypeVar

from panellint.core.errors import TRACEBACK, Fault, InputError, PanellintError, defect
from panellint.core.findings import Severity
from panellint.core.source import Source
from panellint.lint.runner.files import STANDARD_INPUT, is_document, source_of
from panellint.lint.runner.results import Checked

if TYPE_CHECKING:
    from multiprocessing.context import SpawnContext

    from panellint.analysis.context import LabelContext
    from panellint.lint.runner.git import Policy
    from panellint.rulepacks.settings import Settings


class Picked(NamedTuple):
    """Which rules' findings a run is about: those of `selected` (all, where it is empty) that are
    not in `ignored`; ids, or patterns with `*` and `?`."""

    selected: tuple[str, ...]
    ignored: tuple[str, ...]

    def wants(self, rule: str) -> bool:
        """Returns whether findings of a rule are wanted."""
        chosen = not self.selected or _is_any(rule, self.selected)
        return chosen and not _is_any(rule, self.ignored)

    def unknown(self, rules: Iterable[str]) -> list[str]:
        """Returns the words that are no rule and fit none."""
        known = list(rules)
        words = (*self.selected, *self.ignored)
        return [word for word in words if not any(fnmatchcase(name, word) for name in known)]


def _is_any(rule: str, words: tuple[str, ...]) -> bool:
    return any(fnmatchcase(rule, word) for word in words)


@dataclass
class Checker:
    """Lints a file by the settings that reach it; a call never raises.

    `named` is what standard input is called, `config` a settings file to take in place of the
    nearest one. `market` and `fail_at` stand above the settings where they are given; `fail_at` is
    a severity word, or "never". `picked` says which rules' findings are wanted. A `policy` stands
    in place of the settings in the work tree. With `write`, sure corrections are made first, and it
    writes the file.
    """

    market: str | None = None
    fail_at: str | None = None
    named: str | None = None
    _: KW_ONLY
    config: str | None = None
    picked: Picked | None = None
    quick: bool = False
    policy: Policy | None = None
    write: Callable[[str, str], None] | None = None

    def wants(self, rule: str) -> bool:
        """Returns whether findings of a rule are wanted."""
        return self.picked is None or self.picked.wants(rule)

    def settings_of(self, path: str) -> Settings:
        """Returns the settings that a label is linted by. Raises InputError where they are
        faulty."""
        from panellint.rulepacks.settings import Settings

        if self.config:
            own = Settings.of_file(self.config)
        else:
            own = self.policy.settings(path) if self.policy else Settings.for_path(path)
        return own if self.market is None else own.with_market(self.market)

    def __call__(self, path: str) -> Checked:
        """Returns the findings of one file, or the faults that kept it from being used."""
        called = self.named or path if path == STANDARD_INPUT else path
        try:
            return self._checked(path, called)
        except InputError as error:
            shown = self.policy.shown if self.policy else lambda fault: fault
            return Checked(called, faults=tuple(map(shown, error.faults)))
        except PanellintError as error:
            return Checked(called, faults=(Fault(called, None, None, str(error)),))
        except Exception as error:
            if os.environ.get(TRACEBACK):
                raise
            return Checked(called, faults=(Fault(called, None, None, defect(error)),))

    def _checked(self, path: str, called: str) -> Checked:
        from panellint.analysis.context import LabelContext
        from panellint.lint.engine import lint_context

        settings = self.settings_of(called)
        source = source_of(path, self.named, settings)
        corrections = 0
        if self.write is not None and os.path.isfile(path) and not is_document(path):
            from panellint.lint.fix import corrected

            text, corrections = corrected(source, settings, self.wants)
            if corrections:
                self.write(path, text)
                source = Source(text, source.path)
        context = LabelContext.of(source, settings, quick=self.quick)
        result = lint_context(context, settings, quick=self.quick)
        if self.picked is not None:
            wanted = tuple(finding for finding in result.findings if self.wants(finding.rule))
            result = result._replace(findings=wanted)
        fail_at: Severity | None = settings.fail_at
        if self.fail_at is not None:
            fail_at = None if self.fail_at == "never" else Severity(self.fail_at)
        return Checked(
            called,
            result,
            fail_at=fail_at,
            corrections=corrections,
            read_as=_read_as(context),
            solver_failed=context.solver_failed,
        )


def _read_as(context: LabelContext) -> str:
    """Returns what a label was taken for, and by which settings."""
    facts = (f"market {context.market}", context.edition, context.species, context.form.id)
    by = context.settings.path or "the usual settings"
    return f"{', '.join(filter(None, facts))}; by {by}"


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
    executor = ProcessPoolExecutor(jobs, fresh_processes(), initializer=_begin)
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


def fresh_processes() -> SpawnContext:
    """Returns what starts processes anew: a fork would copy the locks of threads that it does not
    copy. None of them takes a file of the folder it runs in for a module of ours."""
    import multiprocessing

    os.environ["PYTHONSAFEPATH"] = "1"
    return multiprocessing.get_context("spawn")


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

    def __enter__(self) -> Progress:
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
