"""The server's side of the prover: a process that works out what takes longer than typing.

It starts with the first question and is used again. A question that is given up while it is
being worked out ends the process; the next one starts another.
"""

from __future__ import annotations

import asyncio
import json
import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import Any

from panellint.core.errors import PanellintError
from panellint.server.answers import Question

_HOUSE = Path(__file__).resolve().parents[2]


class Prover:
    """Asks one question after the other. Cancelling a call drops its question."""

    def __init__(self) -> None:
        self._process: asyncio.subprocess.Process | None = None
        self._lock = asyncio.Lock()

    async def lint(self, question: Question) -> dict[str, Any]:
        """Asks for `Answers.lint`. Raises PanellintError where the process ended by itself."""
        return await self._ask({"do": "lint", "asked": question._asdict()})

    async def hover(self, question: Question, offset: int) -> dict[str, Any]:
        """Asks for `Answers.hover`. Raises PanellintError where the process ended by itself."""
        return await self._ask({"do": "hover", "asked": question._asdict(), "offset": offset})

    def end(self) -> None:
        """Ends the process, if there is one."""
        if self._process is not None:
            with suppress(ProcessLookupError):
                self._process.kill()
            self._process = None

    async def _ask(self, message: dict[str, Any]) -> dict[str, Any]:
        async with self._lock:
            try:
                return await self._answered(message)
            except (OSError, asyncio.IncompleteReadError):
                self.end()
                raise PanellintError("the process that works out proofs ended") from None
            except BaseException:
                self.end()
                raise

    async def _answered(self, message: dict[str, Any]) -> dict[str, Any]:
        process = self._process
        if process is None or process.returncode is not None:
            process = self._process = await _started()
        assert process.stdin is not None
        assert process.stdout is not None
        body = json.dumps(message).encode()
        process.stdin.write(len(body).to_bytes(4, "big") + body)
        await process.stdin.drain()
        head = await process.stdout.readexactly(4)
        answer = json.loads(await process.stdout.readexactly(int.from_bytes(head, "big")))
        assert isinstance(answer, dict)
        return answer


async def _started() -> asyncio.subprocess.Process:
    # -P keeps a module of the user's folder from being taken for one of ours.
    path = os.pathsep.join(filter(None, (str(_HOUSE), os.environ.get("PYTHONPATH"))))
    return await asyncio.create_subprocess_exec(
        *(sys.executable, "-P", "-m", "panellint.server.worker"),
        stdin=asyncio.subprocess.PIPE,
        stdout=asyncio.subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": path},
    )
