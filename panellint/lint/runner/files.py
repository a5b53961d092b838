"""Which panel files a command reads: files, folders, globs, standard input, and what is ignored.

Folders are searched for `*.panel`, hidden folders left out, in the order of the code points
of their names. An ignore file, `.panellintignore`, holds patterns in gitignore's syntax for
what lies below it; the settings may name more.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from panellint.core.errors import Fault, InputError, unreadable
from panellint.core.files import relative
from panellint.core.source import decode, read
from panellint.rulepacks import settings

if TYPE_CHECKING:
    from pathspec import GitIgnoreSpec

    from panellint.core.source import Source

SUFFIX = ".panel"
DOCUMENTS = (".pdf", ".docx")
IGNORE_FILE = ".panellintignore"
STANDARD_INPUT = "-"


def is_document(path: str) -> bool:
    """Returns whether a path names a document, of which each page or table is a label."""
    return path.lower().endswith(DOCUMENTS)


@dataclass
class Found:
    """What the arguments of a command came to.

    `paths` are in the order of the arguments, each once; `left_out` are files that the user
    named and an ignore pattern keeps away, with the place of the pattern; `refused` are files that
    are not read, with the reason.
    """

    paths: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    left_out: list[tuple[str, str]] = field(default_factory=list)
    refused: list[tuple[str, str]] = field(default_factory=list)


class Ignored:
    """The ignore patterns that reach a path: ignore files from its folder upwards, and the
    settings file that counts for it (`config`, where the command names one). Both hold gitignore's
    syntax."""

    def __init__(self, config: str | None = None) -> None:
        self._config = Path(os.path.abspath(config)) if config else None

    def by(self, path: Path, is_folder: bool = False) -> str | None:
        """Returns the pattern that keeps this path away, as `file:line: pattern`; None if none
        does."""
        whole = os.path.abspath(path)
        for file in _holders(os.path.dirname(whole), self._config):
            lines, spec = _patterns(file)
            assert spec is not None
            below = relative(whole, file.parent).replace(os.sep, "/") + "/" * is_folder
            hit = spec.check_file(below)
            if hit.include and hit.index is not None:
                number, pattern = lines[hit.index]
                place = relative(file) + (f":{number}" if number else "")
                return f"{place}: {pattern}"
        return None


def forget() -> None:
    """Drops the patterns that were read, so that the next question looks at the files."""
    _HELD.clear()
    _patterns.cache_clear()


#: Of each folder that was asked of: the ignore files with patterns from it upwards, the nearest
#: first, and its settings file, if it has one. Each folder is looked at once, so that the time of a
#: walk grows with the number of folders and not with their depth.
_HELD: dict[str, tuple[tuple[Path, ...], Path | None]] = {}


def _holders(folder: str, config: Path | None) -> tuple[Path, ...]:
    """Returns the files with patterns that reach what lies in a folder; `config` is the settings
    file that the command names."""
    asked = []
    while folder not in _HELD:
        asked.append(folder)
        if (above := os.path.dirname(folder)) == folder:
            break
        folder = above
    for name in reversed(asked):
        holders, settings_file = _HELD.get(os.path.dirname(name), ((), None))
        own, file = Path(name, IGNORE_FILE), Path(name, settings.FILE_NAME)
        _HELD[name] = (
            (own, *holders) if _patterns(own)[1] else holders,
            file if file.is_file() else settings_file,
        )
        folder = name
    holders, settings_file = _HELD[folder]
    if config is not None:
        settings_file = config if Path(folder).is_relative_to(config.parent) else None
    has_patterns = settings_file is not None and _patterns(settings_file)[1]
    return (*holders, settings_file) if has_patterns and settings_file else holders


@cache
def _patterns(file: Path) -> tuple[list[tuple[int, str]], GitIgnoreSpec | None]:
    """Returns the patterns that one file holds, with their lines (0 where they have none),
    compiled."""
    lines: list[tuple[int, str]] = []
    if file.name == IGNORE_FILE:
        if file.is_file():
            text = read(file).text
            lines = [
                (number, line)
                for number, line in enumerate(text.splitlines(), start=1)
                if line.strip() and not line.startswith("#")
            ]
    else:
        # A faulty settings file is told with the first label that it would have judged.
        with suppress(InputError):
            lines = [(0, glob) for glob in settings.Settings.of_file(file).ignore]
    return lines, _compiled(str(file), lines) if lines else None


def _compiled(name: str, lines: list[tuple[int, str]]) -> GitIgnoreSpec:
    from pathspec import GitIgnoreSpec

    for number, line in lines:
        try:
            GitIgnoreSpec.from_lines([line])
        except ValueError as error:
            raise InputError(
                Fault(name, number or None, None, f"no pattern: {line!r}", str(error))
            ) from None
    return GitIgnoreSpec.from_lines([line for _, line in lines])


def find(arguments: Iterable[str], ignored: Ignored | None) -> Found:
    """Returns the panel files that the arguments name; what cannot be found is a fault, told later.

    An argument is a file of any name, a folder, a glob (`**` crosses folders) or `-`. With
    `ignored` None, nothing is left out.
    """
    search = Found()
    seen: set[str] = set()

    def add(path: str) -> None:
        key = path if path == STANDARD_INPUT else os.path.abspath(path)
        if key not in seen:
            seen.add(key)
            search.paths.append(path)

    for argument in arguments:
        if argument == STANDARD_INPUT:
            add(argument)
        elif os.path.isdir(argument):
            held = _Folder(argument, ignored, search)
            for path in held.walk(argument):
                add(path)
            if not held.any:
                search.faults.append(Fault(argument, None, None, f"holds no *{SUFFIX} file"))
        elif os.path.lexists(argument):
            reason = ignored.by(Path(argument)) if ignored else None
            if reason is not None:
                search.left_out.append((argument, reason))
            elif is_document(argument):
                _add_parts(argument, add, search)
            else:
                add(argument)
        elif any(char in argument for char in "*?["):
            matches = list(_glob(argument, ignored))
            for path in matches:
                add(path)
            if not matches:
                search.faults.append(Fault(argument, None, None, "no file matches"))
        else:
            search.faults.append(Fault(argument, None, None, "no such file or folder"))
    return search


def _add_parts(argument: str, add: Callable[[str], None], search: Found) -> None:
    """Adds each page or table of a document; one without text is refused."""
    from panellint.lint.runner.documents import parts_of

    try:
        with_text, without = parts_of(argument)
    except InputError as error:
        search.faults += error.faults
        return
    for path in with_text:
        add(path)
    search.refused += [(path, "no text layer; pictures are not read") for path in without]


class _Folder:
    """A walk through one folder that remembers whether any label was met, ignored or not.

    A link that leads out of the folder is not followed, and what is no regular file is not read:
    both are added to `refused`.
    """

    def __init__(self, folder: str, ignored: Ignored | None, search: Found) -> None:
        self._real = os.path.realpath(folder)
        self._ignored = ignored
        self._found = search
        self.any = False

    def walk(self, folder: str) -> Iterator[str]:
        """Yields the labels of a folder and of those below it."""
        levels = [self._entries(folder)]
        while levels:
            entry = next(levels[-1], None)
            if entry is None:
                levels.pop()
            elif entry.is_dir(follow_symlinks=False):
                if not entry.name.startswith(".") and not self._away(entry.path, True):
                    levels.append(self._entries(entry.path))
            elif entry.name.lower().endswith(SUFFIX):
                self.any = True
                if self._away(entry.path, False):
                    continue
                path = os.path.normpath(entry.path)
                if reason := self._unread(entry):
                    self._found.refused.append((path, reason))
                else:
                    yield path

    def _entries(self, folder: str) -> Iterator[os.DirEntry[str]]:
        try:
            return iter(sorted(os.scandir(folder), key=lambda entry: entry.name))
        except OSError as error:
            raise unreadable(folder, error) from None

    def _unread(self, entry: os.DirEntry[str]) -> str:
        """Returns why a file is not read; "" where it is."""
        if entry.is_symlink():
            real = os.path.realpath(entry.path)
            if os.path.commonpath((real, self._real)) != self._real:
                return f"a link out of the folder, to {real}"
        return "" if os.path.isfile(entry.path) else "no regular file"

    def _away(self, path: str, is_folder: bool) -> bool:
        reason = self._ignored.by(Path(path), is_folder) if self._ignored else None
        self.any = self.any or reason is not None
        return reason is not None


def _glob(pattern: str, ignored: Ignored | None) -> Iterator[str]:
    from glob import iglob

    for path in sorted(iglob(pattern, recursive=True)):
        if os.path.isfile(path) and not (ignored and ignored.by(Path(path))):
            yield os.path.normpath(path)


def _part(path: str) -> Source | None:
    """Returns the text of a page or table of a document; None where a path names none, or a file
    has that name itself. A document as a whole is read where it holds one label alone."""
    if os.path.exists(path) and not is_document(path):
        return None
    if not is_document(path.rpartition("#")[0] or path):
        return None
    from panellint.lint.runner.documents import part_source, parts_of

    if is_document(path):
        parts, _ = parts_of(path)
        if len(parts) > 1:
            raise InputError(Fault(path, None, None, "holds several labels", " or ".join(parts)))
        path = parts[0]
    return part_source(path)


def source_of(path: str, named: str | None = None, of: settings.Settings | None = None) -> Source:
    """Returns the text of one argument: a file, or standard input under the name `named`. `of` are
    the settings for it, by default those that reach it.

    Raises InputError where it cannot be read, is too large or is no text.
    """
    called = named or path if path == STANDARD_INPUT else path
    most = (of or settings.Settings.for_path(called)).most_bytes
    if path != STANDARD_INPUT:
        return _part(path) or read(path, most)
    import sys

    content = sys.stdin.buffer.read(most + 1)
    if len(content) > most:
        raise InputError(Fault(called, None, None, f"larger than {most:,} bytes"))
    return decode(content, called)
