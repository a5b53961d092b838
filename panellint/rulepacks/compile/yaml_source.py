"""YAML read with the line and column of every key and value.

Scalars follow the core schema of YAML 1.2: only `true` and `false` are truth values, dates
stay text, and `off` and `no` are words. Keys given twice and tags of one's own are faults, and
so are aliases but in our own data: in a pack they could unfold without end. The tree is built
from events, without recursion, so that no file can exhaust the stack.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import isfinite
from pathlib import Path
from typing import Any

import yaml

from panellint.core import source
from panellint.core.errors import Fault, InputError

Loc = tuple[str | int, ...]
Place = tuple[int, int]

DEEPEST = 60
_INTEGER = re.compile(r"[-+]?[0-9]{1,400}")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_NULL = {"", "~", "null", "Null", "NULL"}
_TRUTH = dict.fromkeys(("true", "True", "TRUE"), True) | dict.fromkeys(
    ("false", "False", "FALSE"), False
)
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass
class Document:
    """One YAML file: its data, and where each value and key stands (from 1).

    `broken` says that reading stopped, so that the data is not all of it; `own` that it is a
    user's file and none of ours.
    """

    path: str
    data: Any = None
    values: dict[Loc, Place] = field(default_factory=dict)
    keys: dict[Loc, Place] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    broken: bool = True
    own: bool = False

    def place(self, loc: Loc, *, key: bool = False) -> Place | None:
        """Returns where the value at `loc` stands, or its key; else the nearest thing around it."""
        if key and loc in self.keys:
            return self.keys[loc]
        for end in range(len(loc), -1, -1):
            if loc[:end] in self.values:
                return self.values[loc[:end]]
        return None

    def in_order(self) -> list[Fault]:
        """Returns the faults in the order of the lines."""
        return sorted(self.faults, key=lambda fault: (fault.line or 0, fault.column or 0))

    def fault(self, loc: Loc, message: str, expected: str = "", *, key: bool = False) -> Fault:
        """Returns a fault at the place of `loc`."""
        line, column = self.place(loc, key=key) or (None, None)
        return Fault(self.path, line, column, message, expected)

    def refuse(self, loc: Loc, message: str, expected: str = "", *, key: bool = False) -> None:
        """Adds a fault at the place of `loc`."""
        self.faults.append(self.fault(loc, message, expected, key=key))


def shown_path(path: Path) -> str:
    """Returns the path as the user would write it: relative where it lies below the folder."""
    try:
        return str(path.relative_to(Path.cwd()))
    except (ValueError, OSError):
        return str(path)


def read(path: Path, *, aliases: bool = False) -> Document:
    """Reads one file. Nothing is raised: what is wrong stands in `faults`."""
    document = Document(shown_path(path))
    try:
        text = source.read(path).text
    except InputError as error:
        document.faults += [
            Fault(document.path, fault.line, fault.column, fault.message, fault.expected)
            for fault in error.faults
        ]
        return document
    try:
        _Builder(document, aliases).build(text)
        document.broken = False
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line, column = (mark.line + 1, mark.column + 1) if mark else (None, None)
        words = ": ".join(part for part in (error.context, error.problem) if part)
        document.faults.append(Fault(document.path, line, column, f"not YAML: {words}"))
    except yaml.YAMLError as error:
        words = str(error).splitlines()[0]
        document.faults.append(Fault(document.path, None, None, f"not YAML: {words}"))
    return document


def read_all(files: Mapping[str, Path]) -> dict[str, Any]:
    """Returns the data of several files by name. Raises InputError with every fault of all."""
    documents = {name: read(path, aliases=True) for name, path in files.items()}
    faults = [fault for document in documents.values() for fault in document.faults]
    if faults:
        raise InputError(*faults)
    return {name: document.data for name, document in documents.items()}


@dataclass
class _Open:
    """A list or mapping that is being read; `key` is the one whose value comes next."""

    loc: Loc
    into: Any
    key: str | None = None
    twice: bool = False


class _Builder:
    def __init__(self, document: Document, aliases: bool) -> None:
        self.document = document
        self.aliases = aliases
        self.anchors: dict[str, Any] = {}
        self.open: list[_Open] = []
        self.done = False

    def build(self, text: str) -> None:
        events: Iterable[Any] = yaml.parse(text, Loader=_LOADER)
        for event in events:
            place = (event.start_mark.line + 1, event.start_mark.column + 1)
            if isinstance(event, yaml.DocumentStartEvent) and self.done:
                self.fault(place, "a second document in one file", "one document")
                return
            if isinstance(event, yaml.AliasEvent):
                self.alias(event.anchor, place)
            elif isinstance(event, yaml.ScalarEvent):
                self.scalar(event, place)
            elif isinstance(event, yaml.CollectionStartEvent):
                if len(self.open) == DEEPEST:
                    self.fault(place, "nested too deeply", f"at most {DEEPEST} levels")
                    return
                into: Any = {} if isinstance(event, yaml.MappingStartEvent) else []
                self.open.append(_Open(self.put(into, place), into))
                if event.anchor:
                    self.anchors[event.anchor] = into
            elif isinstance(event, yaml.CollectionEndEvent):
                self.open.pop()

    def fault(self, place: Place, message: str, expected: str = "") -> None:
        self.document.faults.append(Fault(self.document.path, *place, message, expected))

    def alias(self, name: str | None, place: Place) -> None:
        value = self.anchors.get(name or "")
        if not self.aliases:
            self.fault(place, f"alias `*{name}`", "the value itself, written out")
        elif any(node.into is value for node in self.open):
            self.fault(place, f"alias `*{name}` stands inside what it names")
            value = None
        self.put(value, place)

    def scalar(self, event: Any, place: Place) -> None:
        top = self.open[-1] if self.open else None
        if top is not None and isinstance(top.into, dict) and top.key is None:
            top.key = event.value
            loc = (*top.loc, event.value)
            top.twice = loc in self.document.keys
            if top.twice:
                self.fault(place, f"key `{event.value}` is given twice", "each key once")
            else:
                self.document.keys[loc] = place
            return
        value = self.value(event, place)
        if event.anchor:
            self.anchors[event.anchor] = value
        self.put(value, place)

    def value(self, event: Any, place: Place) -> Any:
        text: str = event.value
        if event.tag and event.tag not in ("!", "tag:yaml.org,2002:str"):
            self.fault(place, f"tag `{event.tag}`", "a plain value")
        if not event.implicit[0]:
            return text
        if text in _NULL:
            return None
        if text in _TRUTH:
            return _TRUTH[text]
        if _INTEGER.fullmatch(text):
            return int(text)
        if _FLOAT.fullmatch(text):
            figure = float(text)
            if isfinite(figure):
                return figure
            self.fault(place, f"`{text[:20]}` is too large", "a number")
        return text

    def put(self, value: Any, place: Place) -> Loc:
        """Puts a value where it belongs and say where that is."""
        top = self.open[-1] if self.open else None
        if top is None:
            self.done = True
            self.document.data = value
            loc: Loc = ()
        elif isinstance(top.into, list):
            loc = (*top.loc, len(top.into))
            top.into.append(value)
        elif top.key is None:
            self.fault(place, "a list or mapping as a key", "a word")
            top.key = ""
            return self.put(value, place)
        else:
            loc = (*top.loc, top.key)
            if not top.twice:
                top.into[top.key] = value
            top.key = None
        self.document.values.setdefault(loc, place)
        return loc
