"""Files as they are read: regular ones, of a bounded size.

A pipe would keep a command waiting for ever, and a device has no end. Where the rules lie.
"""

import os
import stat
from functools import cache
from pathlib import Path

from panellint.core.errors import Fault, InputError, unreadable


@cache
def rules_folder() -> Path:
    """Returns the folder of rule packs and catalogue: inside a wheel, or beside it in a
    checkout."""
    package = Path(__file__).resolve().parents[1]
    inside = package / "rules"
    return inside if inside.is_dir() else package.parent / "rules"


#: Bytes of the largest file that is read, of whatever kind; 1 MB is a million.
LARGEST = 50_000_000


def read_bytes(path: str | Path, most: int = LARGEST) -> bytes:
    """Returns what a file holds. Raises InputError where it is missing, no regular file, larger
    than `most` bytes or cannot be read."""
    try:
        # Opening a pipe would wait for its writer.
        handle = os.open(
            path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
        )
        with open(handle, "rb") as file:
            state = os.fstat(handle)
            if not stat.S_ISREG(state.st_mode) and not stat.S_ISDIR(state.st_mode):
                raise InputError(
                    Fault(str(path), None, None, "no regular file", "a file with text")
                )
            data = file.read(most + 1)
    except (OSError, ValueError) as error:
        raise unreadable(path, error) from None
    if len(data) > most:
        raise InputError(Fault(str(path), None, None, f"larger than {most:,} bytes"))
    return data


def repository_of(folder: Path) -> Path:
    """Returns the repository that a folder lies in, or the folder itself, links followed."""
    above = (path for path in (folder, *folder.parents) if (path / ".git").exists())
    return next(above, folder).resolve()


def relative(path: str | Path, start: str | Path = ".") -> str:
    """Returns a path as it is from a folder; on another drive, which nothing leads to, the path
    itself."""
    try:
        return os.path.relpath(path, start)
    except ValueError:
        return str(path)
