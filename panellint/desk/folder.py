"""The folder whose labels a desk keeps: panel files of plain names, and nothing beside them."""

import hashlib
import os
import re
from pathlib import Path

from panellint.core.errors import Fault, InputError
from panellint.core.files import read_bytes
from panellint.core.source import decode
from panellint.output.atomic_file import write_whole

#: Names of panel files: letters, digits, spaces, dots, hyphens; none begins with a dot.
_NAME = re.compile(r"[^\W_][\w .()-]{0,99}\.panel")
#: Bytes of the largest label that is read or kept.
LARGEST = 1_000_000


class Folder:
    """A folder of panel files. Raises InputError where it is none."""

    def __init__(self, path: str) -> None:
        self.path = Path(path).resolve()
        if not self.path.is_dir():
            raise InputError(Fault(path, None, None, "is no folder"))

    def names(self) -> list[str]:
        """Returns the names of its labels, sorted."""
        return sorted(
            entry.name
            for entry in os.scandir(self.path)
            if _NAME.fullmatch(entry.name) and entry.is_file(follow_symlinks=False)
        )

    def place(self, name: str) -> Path:
        """Returns where a label of that name stands or would. Raises InputError for a name that
        is no plain one, and for a link."""
        place = self.path / name
        if not _NAME.fullmatch(name) or place.is_symlink() or place.parent != self.path:
            expected = "letters, digits, spaces and hyphens, and .panel at the end"
            raise InputError(Fault(name, None, None, "is no name for a label", expected))
        return place

    def read(self, name: str) -> tuple[str, str]:
        """Returns the text of a label and its mark, by which a change from elsewhere is seen.
        Raises InputError where it cannot be read."""
        data = read_bytes(self.place(name), LARGEST)
        return decode(data, name).text, _mark(data)

    def save(self, name: str, text: str, known: str) -> str:
        """Writes a label whole, and returns its new mark.

        `known` is the mark of what was read, "" for a new label. Raises InputError where the file
        is another by now, and where it cannot be written; then nothing is lost.
        """
        place = self.place(name)
        there = _mark(read_bytes(place, LARGEST)) if place.exists() else ""
        if there != known:
            message = "was changed by something else" if known else "is there already"
            raise InputError(Fault(name, None, None, message, "another name, or open it again"))
        write_whole(str(place), text)
        return _mark(read_bytes(place, LARGEST))


def _mark(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
