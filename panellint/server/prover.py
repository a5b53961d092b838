"""The process that works out what takes longer than typing, and the server's side of it.

It starts with the first question and is used again. A question that is given up while it is
being worked out ends the process; the next one starts another. The process never outlives the
server, however that one ended.
"""

import asyncio
import os
import queue
import threading
from multiprocessing.connection import Connection
from typing import Any

from panellint.core.errors import PanellintError
from panellint.lint.runner.parallel import fresh_processes
from panellint.server.answers import Answers, Question


class Prover:
    """Asks one question after the other. Cancelling a call drops its question."""

    def __init__(self) -> None:
        self._process: Any = None
        self._line: Any = None
        self._lock = asyncio.Lock()

    async def ask(self, what: str, question: Question, **more: Any) -> dict[str, Any]:
        """Asks for what the method `what` of `Answers` gives. Raises PanellintError where the
        process ended by itself."""
        async with self._lock:
            if self._process is None or not self._process.is_alive():
                fresh = fresh_processes()
                self._line, other = fresh.Pipe()
                self._process = fresh.Process(target=_work, args=(other,), daemon=True)
                self._process.start()
                other.close()
            try:
                # A thread waits for the answer, and ends with the process. (asyncio's own
                # subprocesses hang where a task is cancelled while one starts, CPython gh-119710.)
                return await asyncio.to_thread(_exchanged, self._line, (what, question, more))
            except (OSError, EOFError):
                self.end()
                raise PanellintError("the process that works out proofs ended") from None
            except BaseException:
                self.end()
                raise

    def end(self) -> None:
        """Ends the process, if there is one."""
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            process.join()


def _exchanged(line: Connection, asked: tuple[str, Question, dict[str, Any]]) -> dict[str, Any]:
    """Returns the answer to one question. Raises EOFError where the process ended."""
    line.send(asked)
    answer: dict[str, Any] = line.recv()
    return answer


def _work(line: Connection) -> None:
    """Answers until the server is gone; whatever is being worked out then is dropped."""
    # What a check of another package prints must not get between the messages to the editor.
    os.dup2(2, 1)
    waiting: queue.Queue[tuple[str, Question, dict[str, Any]]] = queue.Queue()
    threading.Thread(target=_read, args=(line, waiting), daemon=True).start()
    answers = Answers()
    while True:
        what, question, more = waiting.get()
        answer = getattr(answers, what)(question, **more)
        try:
            line.send(answer)
        except OSError:
            os._exit(0)


def _read(line: Connection, waiting: queue.Queue[tuple[str, Question, dict[str, Any]]]) -> None:
    try:
        while True:
            waiting.put(line.recv())
    except (OSError, EOFError):
        os._exit(0)
