"""Where the rules lie, and the cache of what is compiled from them.

A cache file holds the key of its inputs on its first line and after it plain data as Python
itself keeps compiled modules (`marshal`), which is read in less than half the time of JSON. It
is written beside and moved into place, so a reader never meets half a file. Where the folder
cannot be written, or belongs to somebody else, everything is compiled afresh and nothing is kept.
"""

from __future__ import annotations

import hashlib
import marshal
import os
import sys
import tempfile
from collections.abc import Callable, Iterable
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

from panellint import __version__


@cache
def rules_folder() -> Path:
    """The folder of rule packs and catalogue: inside a wheel, or beside it in a checkout."""
    package = Path(__file__).resolve().parents[1]
    inside = package / "rules"
    return inside if inside.is_dir() else package.parent / "rules"


@cache
def cache_folder() -> Path | None:
    """The user's own cache folder, made when missing; None where there can be none.

    `PANELLINT_CACHE` names another folder; empty, it switches the cache off.
    """
    named = os.environ.get("PANELLINT_CACHE")
    if named == "":
        return None
    try:
        base = os.environ.get("XDG_CACHE_HOME") or os.path.expanduser("~/.cache")
        folder = Path(named) if named else Path(base) / "panellint"
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if hasattr(os, "getuid"):
            state = folder.stat()
            if state.st_uid != os.getuid() or state.st_mode & 0o022:
                return None
        return folder if os.access(folder, os.W_OK) else None
    except (OSError, RuntimeError):
        return None


def key_of(inputs: Iterable[Path]) -> str:
    """A key that changes when an input's path, size or time of change does."""
    digest = hashlib.blake2b(
        f"{__version__} {sys.implementation.cache_tag}".encode(), digest_size=16
    )
    for path in inputs:
        state = os.stat(path)
        digest.update(f"\n{path} {state.st_size} {state.st_mtime_ns}".encode())
    return digest.hexdigest()


def cached(name: str, inputs: Iterable[Path], build: Callable[[], Any]) -> Any:
    """Plain data compiled from `inputs`: read from the cache, or built and kept.

    `build` must return what JSON can hold; bytes may stand in it too. Its errors pass through,
    and nothing is kept then.
    """
    folder = cache_folder()
    if folder is None:
        return build()
    key = key_of(inputs)
    path = folder / f"{name}.cache"
    try:
        head, _, body = path.read_bytes().partition(b"\n")
        if head == key.encode():
            return unpacked(body)
    except (OSError, ValueError, TypeError, EOFError):
        pass  # missing or damaged
    data = build()
    write_beside(path, key.encode() + b"\n" + packed(data))
    return data


def packed(data: Any) -> bytes:
    """Plain data as bytes: a part of it that few runs need, to stand in what is cached."""
    return marshal.dumps(data)


def unpacked(data: bytes) -> Any:
    """The data that `packed` made bytes of."""
    return marshal.loads(data)


def write_beside(path: Path, data: bytes) -> None:
    """Write a cache file and move it into place; a folder that refuses is no fault."""
    written = None
    try:
        with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as file:
            written = file.name
            file.write(data)
        os.replace(written, path)
    except OSError:
        if written is not None:
            with suppress(OSError):
                os.unlink(written)
