"""The cache of what is compiled from the rules: plain text that is checked before it is read.

A cache file is lines of JSON in ASCII. The first line holds the key of the inputs and the digest
of all that follows, the second one where each entry begins and ends, and each later line is an
entry. A file that does not match its key and digest is built anew, so that neither damage nor
another version is ever taken for data; and since entries are decoded when they are asked for, a
start decodes only what it needs.

Each installation has a folder of its own. A folder or file of another user, or one that others
may write to, is not used, and the program says so once.
"""

import hashlib
import json
import os
import sys
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from panellint import __version__

#: The environment variable that names the cache folder; empty, it switches the cache off.
CACHE_VARIABLE = "PANELLINT_CACHE"
#: Mode bits that let somebody else change a file or folder: write for the group, for others.
_WRITABLE_BY_OTHERS = 0o022


class Entries(Mapping[str, Any]):
    """What was compiled, by name. Each entry is decoded when it is first asked for and the same
    object from then on: treat it as read-only. A table whose entries stand apart is `Entries`
    too."""

    def __init__(self, body: str, index: dict[str, Any]) -> None:
        self._body = body
        self._index = index
        self._decoded: dict[str, Any] = {}

    def __getitem__(self, name: str) -> Any:
        if name not in self._decoded:
            place = self._index[name]
            if isinstance(place, dict):
                self._decoded[name] = Entries(self._body, place)
            else:
                start, end = place
                self._decoded[name] = json.loads(self._body[start:end])
        return self._decoded[name]

    def __contains__(self, name: object) -> bool:
        return name in self._index

    def __iter__(self) -> Iterator[str]:
        return iter(self._index)

    def __len__(self) -> int:
        return len(self._index)


def cached(
    name: str,
    inputs: Iterable[Path],
    build: Callable[[], dict[str, Any]],
    *,
    apart: Collection[str] = (),
) -> Entries:
    """Returns what `build` compiles from `inputs`: read from the cache, or built and kept.

    `build` returns what JSON can hold, under names; of the tables named in `apart` each entry
    stands apart. Errors of `build` pass through, and nothing is kept then. Raises OSError where an
    input cannot be looked at.
    """
    folder = cache_folder()
    if folder is None:
        return _entries(_text(build(), apart))
    key = key_of(inputs)
    path = folder / f"{name}.json"
    text = _read(path)
    head, _, body = text.partition("\n")
    if not head or head != _head(key, body):
        body = _text(build(), apart)
        _write(path, f"{_head(key, body)}\n{body}")
    return _entries(body)


def key_of(inputs: Iterable[Path]) -> str:
    """Returns a key that changes when an input's path, size or time of change does."""
    digest = hashlib.sha256(__version__.encode())
    for path in inputs:
        state = os.stat(path)
        line = f"\n{path} {state.st_size} {state.st_mtime_ns}"
        digest.update(line.encode(errors="surrogateescape"))
    return digest.hexdigest()


def short_digest(paths: Iterable[Path]) -> str:
    """Returns a short name for a set of paths."""
    text = "\n".join(str(path) for path in paths)
    return hashlib.sha256(text.encode(errors="surrogateescape")).hexdigest()[:16]


@cache
def cache_folder() -> Path | None:
    """Returns this installation's cache folder, made when missing; None where there is none.

    It lies in `$XDG_CACHE_HOME/panellint` or `~/.cache/panellint`, where Windows and macOS keep
    such folders there, or in the folder that `PANELLINT_CACHE` names; empty, that switches the
    cache off. A relative XDG_CACHE_HOME is ignored, as the XDG Base Directory Specification (0.8,
    "Environment variables") asks.
    """
    named = os.environ.get(CACHE_VARIABLE)
    if named == "":
        return None
    try:
        base = Path(named).absolute() if named else _usual_folder()
        folder = base / short_digest([Path(__file__)])
        for level in (base, folder):
            level.mkdir(mode=0o700, parents=True, exist_ok=True)
            if fault := _untrusted(os.stat(level)):
                _refused.append(f"the cache folder {level} {fault}, so it is not used")
                return None
        return folder if os.access(folder, os.W_OK) else None
    except (OSError, RuntimeError):
        return None


def _usual_folder() -> Path:
    if sys.platform in ("win32", "darwin"):
        from platformdirs import user_cache_path

        return user_cache_path("panellint", appauthor=False)
    shared = os.environ.get("XDG_CACHE_HOME", "")
    if not os.path.isabs(shared):
        shared = os.path.expanduser("~/.cache")
    return Path(shared) / "panellint"


_refused: list[str] = []


def refusal() -> str:
    """Returns why the cache folder is not trusted, as a sentence; "" where it is, or where none
    was asked for."""
    return "".join(_refused)


def forget_folder() -> None:
    """Lets the next `cache_folder` look at the environment and the folder again."""
    cache_folder.cache_clear()
    _refused.clear()


def _untrusted(state: os.stat_result) -> str:
    if not hasattr(os, "getuid"):
        return ""
    if state.st_uid != os.getuid():
        return "belongs to another user"
    return "can be written by others" if state.st_mode & _WRITABLE_BY_OTHERS else ""


def _read(path: Path) -> str:
    """Returns the text of a cache file; "" where there is none that may be trusted."""
    try:
        with open(path, "rb") as file:
            if _untrusted(os.fstat(file.fileno())):
                return ""
            return file.read().decode("ascii")
    except (OSError, ValueError):
        return ""


def _head(key: str, body: str) -> str:
    """Returns the first line of a cache file with this key and body."""
    digest = hashlib.sha256(f"{key}\n{body}".encode("ascii", errors="replace")).hexdigest()
    return f'{{"key": "{key}", "digest": "{digest}"}}'


def _text(data: Mapping[str, Any], apart: Collection[str]) -> str:
    """Returns the body of a cache file: the index on its first line, then a line an entry."""
    lines: list[str] = []
    length = 0

    def place(value: Any) -> list[int]:
        nonlocal length
        line = json.dumps(value, separators=(",", ":"))
        lines.append(line)
        start, length = length, length + len(line) + 1
        return [start, start + len(line)]

    index = {
        name: {key: place(part) for key, part in value.items()} if name in apart else place(value)
        for name, value in data.items()
    }
    return "\n".join([json.dumps(index, separators=(",", ":")), *lines])


def _entries(text: str) -> Entries:
    index, _, body = text.partition("\n")
    return Entries(body, json.loads(index))


def _write(path: Path, text: str) -> None:
    """Writes a cache file beside its place and moves it there, so that a reader never meets half
    a file; a folder that refuses is no fault."""
    import tempfile
    from contextlib import suppress

    written = None
    try:
        with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as file:
            written = file.name
            file.write(text.encode("ascii"))
        os.replace(written, path)
    except OSError:
        if written is not None:
            with suppress(OSError):
                os.unlink(written)
