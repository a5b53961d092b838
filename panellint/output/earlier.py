"""Which files are earlier outputs of a command: they may be written anew, others may not.

The record is a list in the user's cache folder, of digests of paths, each with the command and the
digest of what it wrote there. A file that was changed since is no earlier output any more.
"""

import json
import os
from contextlib import suppress
from hashlib import blake2b
from pathlib import Path

from panellint.core.cache import cache_folder

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
