"""How the program ends."""

from enum import IntEnum

from panellint.core.text import one_line

#: Set in the environment to anything, a defect of ours shows where it came from.
TRACEBACK = "PANELLINT_TRACEBACK"


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


def defect(error: Exception) -> str:
    """What a user is told of an error that nobody foresaw."""
    words = one_line(str(error))
    return (
        f"a defect of panellint: {type(error).__name__}: {words} "
        f"(with {TRACEBACK}=1 it shows where)"
    )
