"""The server's side of the prover: a process that works out what takes longer than typing.

It starts with the first question and is used again. A question that is given up while it is
being worked out ends the process; the next one starts another.
"""

import asyncio
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from panellint.core.errors import PanellintError
from panellint.server.answers import Question

_HOUSE = Path(__file__).resolve().parents[2]


class Prover:
    """Asks one question after the other. Cancelling a call drops its question."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        self._lock = asyncio.Lock()

    async def ask(self, what: str, question: Question, **more: Any) -> dict[str, Any]:
        """Asks for what the method `what` of `Answers` gives. Raises PanellintError where the
        process ended by itself."""
        return await self._ask({"do": what, "asked": question._asdict(), "more": more})

    def end(self) -> None:
        """Ends the process, if there is one."""
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            process.wait()

    async def _ask(self, message: dict[str, Any]) -> dict[str, Any]:
        async with self._lock:
            if self._process is None or self._process.poll() is not None:
                self._process = _started()
            try:
                # A thread waits for the answer, and ends with the process. (asyncio's own
                # subprocesses hang where a task is cancelled while one starts, CPython gh-119710.)
                return await asyncio.to_thread(_exchanged, self._process, message)
            except (OSError, EOFError):
                self.end()
                raise PanellintError("the process that works out proofs ended") from None
            except BaseException:
                self.end()
                raise


def _exchanged(process: subprocess.Popen[bytes], message: dict[str, Any]) -> dict[str, Any]:
    """Returns the answer to one message. Raises EOFError where the process ended."""
    assert process.stdin is not None
    assert process.stdout is not None
    body = json.dumps(message).encode()
    process.stdin.write(len(body).to_bytes(4, "big") + body)
    process.stdin.flush()
    head = process.stdout.read(4)
    body = process.stdout.read(int.from_bytes(head, "big"))
    if not body:
        raise EOFError
    answer = json.loads(body)
    assert isinstance(answer, dict)
    return answer


def _started() -> subprocess.Popen[bytes]:
    # -P keeps a module of the user's folder from being taken for one of ours.
    path = os.pathsep.join(filter(None, (str(_HOUSE), os.environ.get("PYTHONPATH"))))
    return subprocess.Popen(
        [sys.executable, "-P", "-m", "panellint.server.worker"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": path},
    )
