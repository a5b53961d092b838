"""How the program ends."""

from __future__ import annotations

from enum import IntEnum


class Exit(IntEnum):
    """What the shell is told."""

    CLEAN = 0
    FINDINGS = 1
    UNUSABLE = 2
    INTERRUPTED = 130
    PIPE_CLOSED = 141
    TERMINATED = 143


class Terminated(BaseException):
    """The system asked this process to end (SIGTERM)."""
