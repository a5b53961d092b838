"""What stops a command (input that cannot be used, with its place) and how the program ends.

Every error that a user is meant to read derives from `PanellintError`. A command prints it
and exits with status 2; status 1 is kept for findings.
"""

from enum import IntEnum
from typing import NamedTuple

from panellint.core.text import harmless, one_line

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


class PanellintError(Exception):
    """An error for the user's eyes: the command or one of its inputs could not be used."""


class Fault(NamedTuple):
    """One fault in an input file.

    `line` and `column` count from 1, in code points; both are None where the fault has no
    place inside the file. `expected` says what would have been right, or is empty.
    """

    path: str
    line: int | None
    column: int | None
    message: str
    expected: str = ""

    def __str__(self) -> str:
        place = [self.path, *(str(n) for n in (self.line, self.column) if n is not None)]
        tail = f" (expected {self.expected})" if self.expected else ""
        # Names of files and keys are not ours: they must not command a terminal or forge a line.
        return harmless(f"{':'.join(place)}: {self.message}{tail}")


class InputError(PanellintError):
    """One or more faults in what the user handed over; all of them are told at once."""

    def __init__(self, *faults: Fault) -> None:
        super().__init__(*faults)
        self.faults = faults

    def __str__(self) -> str:
        return "\n".join(str(fault) for fault in self.faults)


def unreadable(path: object, error: Exception) -> InputError:
    """Returns that a file cannot be read, with the reason that the system gives."""
    reason = getattr(error, "strerror", None) or str(error) or type(error).__name__
    return InputError(Fault(str(path), None, None, f"cannot be read: {reason}"))


class UnknownName(PanellintError):
    """Nothing of a sort has that name: the nearest is named, else what is said `otherwise`."""

    def __init__(self, what: str, name: str, near: str | None, otherwise: str = "") -> None:
        tail = f"did you mean `{near}`?" if near else otherwise
        super().__init__("; ".join(filter(None, (f"there is no {what} `{name}`", tail))))


class NotComputable(PanellintError, ValueError):
    """A figure cannot be worked out from what was given; the message says why.

    `names` are the figures that stand in the way, as nutrient ids.
    """

    def __init__(self, reason: str, *names: str) -> None:
        super().__init__(reason)
        self.reason = reason
        self.names = names


class MissingFigure(NotComputable):
    """A figure that is needed was not given."""


class ImpossibleFigure(NotComputable):
    """A figure that nothing can have: not a number, below nothing, over 100 %, no dry matter."""


class ContradictoryFigures(NotComputable):
    """Figures that cannot all be true: a least above a most, parts beyond the whole.

    `excess` is by how many percentage points they clash.
    """

    def __init__(self, reason: str, *names: str, excess: float = 0.0) -> None:
        super().__init__(reason, *names)
        self.excess = excess
