"""Where an output goes: standard output, or a file that is whole or not there at all.

A file that is there already is replaced only where the same command left it so.
"""

import io
import json
import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from hashlib import blake2b
from pathlib import Path
from typing import TextIO

from panellint.core.cache import cache_folder
from panellint.core.errors import Fault, InputError
from panellint.core.source import encoded_like

_NAME = "outputs.json"
#: The oldest of more than these are forgotten.
_MOST = 500


def is_earlier(path: str, command: str) -> bool:
    """Returns whether a file is as the command left it."""
    with suppress(OSError):
        return _record().get(_key(path, command)) == _digest(path)
    return False


def remember(path: str, command: str) -> None:
    """Remembers that the command wrote a file; without a cache folder nothing is."""
    folder = cache_folder()
    if folder is None or not os.path.isfile(path):
        return
    record = _record()
    key = _key(path, command)
    record.pop(key, None)
    with suppress(OSError):
        record[key] = _digest(path)
        kept = dict(list(record.items())[-_MOST:])
        beside = folder / f"{_NAME}.{os.getpid()}"
        beside.write_text(json.dumps(kept), encoding="ascii")
        os.replace(beside, folder / _NAME)


def _record() -> dict[str, str]:
    folder = cache_folder()
    with suppress(OSError, ValueError):
        record = json.loads((folder / _NAME).read_text(encoding="ascii")) if folder else {}
        if isinstance(record, dict):
            return record
    return {}


def _key(path: str, command: str) -> str:
    return blake2b(f"{command}\0{os.path.realpath(path)}".encode(), digest_size=12).hexdigest()


def _digest(path: str) -> str:
    return blake2b(Path(path).read_bytes(), digest_size=16).hexdigest()


@contextmanager
def opened(path: str | None) -> Iterator[TextIO]:
    """Yields a text stream to write to: the file, or standard output for None and for `-`.

    A file is moved to its place only when all went well, keeping the permissions of the one it
    replaces; otherwise what stood there before still stands. A device or pipe, which cannot be
    replaced, is written directly. Raises InputError where the place cannot be written.
    """
    if path is None or path == "-":
        yield sys.stdout
        return
    if os.path.lexists(path) and not os.path.isfile(path) and not os.path.isdir(path):
        with (
            _naming(path, None, path),
            open(path, "w", encoding="utf-8", errors="backslashreplace") as stream,
        ):
            yield stream
        return
    target = os.path.realpath(path)
    with _naming(path):
        if os.path.isdir(target):
            raise IsADirectoryError(21, "is a folder", path)
        # It has no name until it is whole: a process that is killed leaves nothing behind.
        draft = tempfile.TemporaryFile(dir=os.path.dirname(target))  # noqa: SIM115
    text = io.TextIOWrapper(draft, encoding="utf-8", errors="backslashreplace", newline="\n")
    with _naming(path, None), text as stream:
        yield stream
        stream.flush()
        draft.seek(0)
        with _naming(path):
            _replace(target, draft.read())


def _replace(target: str, data: bytes) -> None:
    handle, beside = tempfile.mkstemp(
        prefix=f".{os.path.basename(target)}.", dir=os.path.dirname(target)
    )
    try:
        with open(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(beside, _mode(target))
        os.replace(beside, target)
    except BaseException:
        with suppress(OSError):
            os.unlink(beside)
        raise


@contextmanager
def _naming(path: str, *of: str | None) -> Iterator[None]:
    """Raises InputError with the output's path for what the system refuses; where names are given,
    for errors about one of these alone (None: about no file that is named)."""
    try:
        yield
    except OSError as error:
        if isinstance(error, BrokenPipeError) or (of and error.filename not in of):
            raise
        reason = error.strerror or type(error).__name__
        raise InputError(Fault(path, None, None, f"cannot be written: {reason}")) from None


def _mode(target: str) -> int:
    """Returns the permissions of the file that stands there, else those a new file gets."""
    try:
        return os.stat(target).st_mode & 0o7777
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def write_like(path: str, text: str) -> None:
    """Writes the new text of a file in its own encoding, atomically; raises InputError where that
    fails."""
    data = encoded_like(Path(path).read_bytes(), text)
    with opened(path) as stream:
        stream.buffer.write(data)


def write_whole(path: str | None, text: str) -> None:
    """Writes a text where `opened` does, at once; raises InputError where that fails."""
    with opened(path) as stream:
        stream.write(text)
