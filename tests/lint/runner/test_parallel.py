import os
import time

import pytest

from panellint.core.errors import PanellintError
from panellint.lint.runner.parallel import BATCH, Progress, run


def slow_when_small(number: int) -> tuple[int, int]:
    time.sleep(0.02 if number < BATCH else 0)
    return number, os.getpid()


def dies(number: int) -> int:
    os._exit(9)


def fails(number: int) -> int:
    raise ValueError(number)


def test_several_processes_keep_the_order():
    items = list(range(5 * BATCH + 3))
    results = list(run(slow_when_small, items, jobs=2))
    assert [number for number, _ in results] == items
    assert len({process for _, process in results}) == 2
    assert os.getpid() not in {process for _, process in results}


def test_one_process_is_this_one():
    assert {process for _, process in run(slow_when_small, [100, 101], jobs=1)} == {os.getpid()}


def test_a_few_items_take_few_processes():
    assert {process for _, process in run(slow_when_small, [100, 101], jobs=8)} != {os.getpid()}


def test_a_process_that_dies_is_told():
    with pytest.raises(PanellintError, match="ended before its work was done"):
        list(run(dies, list(range(40)), jobs=2))


def test_an_error_of_the_work_comes_through():
    with pytest.raises(ValueError, match="0"):
        list(run(fails, list(range(40)), jobs=2))


def test_closing_early_ends_the_processes():
    import multiprocessing

    stream = run(slow_when_small, list(range(50 * BATCH)), jobs=2)
    next(stream)
    assert multiprocessing.active_children()
    stream.close()
    until = time.monotonic() + 5
    while multiprocessing.active_children() and time.monotonic() < until:
        time.sleep(0.01)
    assert multiprocessing.active_children() == []


class Terminal:
    def __init__(self, tty: bool) -> None:
        self.tty = tty
        self.text = ""

    def isatty(self) -> bool:
        return self.tty

    def write(self, text: str) -> None:
        self.text += text

    def flush(self) -> None:
        pass


@pytest.mark.parametrize(
    ("tty", "seconds", "shown"), [(True, 5, True), (True, 0.5, False), (False, 5, False)]
)
def test_progress_is_for_long_runs_on_a_terminal(monkeypatch, tty, seconds, shown):
    now = 100.0
    monkeypatch.setattr("panellint.lint.runner.parallel.time.monotonic", lambda: now)
    terminal = Terminal(tty)
    progress = Progress(2000, terminal)
    now += seconds
    progress.step()
    assert ("1 of 2,000 labels" in terminal.text) is shown
    progress.hide()
    assert terminal.text.endswith("\r\x1b[K") is shown
    before = terminal.text
    progress.hide()
    assert terminal.text == before
