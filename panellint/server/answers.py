"""What the server knows of labels, without a word of the protocol's transport.

The same functions run where the messages arrive (`quick`) and in the prover's process.
Everything they return is plain data that JSON can hold.
"""

import os
from collections import OrderedDict
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.cache import key_of
from panellint.core.errors import TRACEBACK, Fault, InputError, PanellintError, defect
from panellint.core.findings import Finding
from panellint.core.source import Positions, Source
from panellint.lint.engine import lint_context
from panellint.lint.runner import files
from panellint.output.findings.lsp import diagnostic
from panellint.rulepacks import settings
from panellint.server.fixes import remedies
from panellint.server.hover import hover as hover_at
from panellint.server.margin import hints, lenses

#: Labels that were read lately and are kept, since one question follows another.
KEPT = 4


class Question(NamedTuple):
    """A question about one text: `path` names it and leads to its settings, `uri` is the
    client's name for it, `encoding` how the client counts characters, `market` the one that the
    client's settings name."""

    text: str
    path: str
    uri: str
    encoding: str
    quick: bool
    market: str | None = None


class Answers:
    """Answers questions, and remembers the last few labels with what was worked out of them."""

    def __init__(self) -> None:
        self._contexts: OrderedDict[tuple[str, str, bool, str | None], LabelContext] = OrderedDict()
        self._stamps: dict[str, str] = {}

    def context(self, question: Question) -> LabelContext:
        """Returns the label. Raises InputError where settings or packs are faulty."""
        self._forget_what_changed(question.path)
        key = (question.text, question.path, question.quick, question.market)
        context = self._contexts.pop(key, None)
        if context is None:
            own = settings.Settings.for_path(question.path).with_market(question.market)
            context = LabelContext.of(
                Source(question.text, question.path), own, quick=question.quick
            )
        self._contexts[key] = context
        while len(self._contexts) > KEPT:
            self._contexts.popitem(last=False)
        return context

    def lint(self, question: Question) -> dict[str, Any]:
        """Returns `diagnostics` as the protocol has them; or `faults`, each with path, line, column
        and message, where the label could not be linted. Never raises."""
        return _safely(question.path, lambda: self._lint(question))

    def hover(self, question: Question, offset: int) -> dict[str, Any]:
        """Returns `markdown` and `span` of what stands at an offset; both None where nothing
        does."""

        def work() -> dict[str, Any]:
            context = self.context(question)
            words = hover_at(context, offset, context.once(_findings))
            if words is None:
                return {"markdown": None, "span": None, "faults": []}
            return {"markdown": words[0], "span": list(words[1]), "faults": []}

        return _safely(question.path, work)

    def margin(self, question: Question) -> dict[str, Any]:
        """Returns `hints` and `lenses`, as lists of plain values; none where the label could not
        be read. Never raises."""

        def work() -> dict[str, Any]:
            context = self.context(question)
            margin = {"hints": list(map(list, hints(context)))}
            return {**margin, "lenses": list(map(list, lenses(context))), "faults": []}

        return {"hints": [], "lenses": [], **_safely(question.path, work)}

    def _lint(self, question: Question) -> dict[str, Any]:
        context = self.context(question)
        if question.path != "-" and files.Ignored().by(Path(question.path)):
            return {"diagnostics": [], "faults": []}  # as the command leaves it out
        units = Positions(context.source, question.encoding).units
        today = date.today()
        diagnostics = [
            diagnostic(
                finding._replace(remedies=tuple(remedies(context, finding, today))),
                question.uri,
                units,
                context.settings.page_of(finding.rule),
            )
            for finding in context.once(_findings)
        ]
        return {"diagnostics": diagnostics, "faults": []}

    def _forget_what_changed(self, path: str) -> None:
        """Settings and packs are looked at again when a file of theirs is another one, ignore
        files always."""
        files.forget()
        linted = settings.find(Path(path) if path != "-" else Path.cwd())
        name = str(linted or "")
        stamp = stamp_of(linted)
        if self._stamps.get(name, stamp) != stamp or stamp == "faulty":
            settings.forget()
            self._contexts.clear()
        self._stamps[name] = stamp


def stamp_of(file: Path | None) -> str:
    """Returns a key that changes with a settings file and with the files that it names."""
    if file is None:
        return ""
    try:
        return key_of([file, *settings.Settings.of_file(file).own_files])
    except (PanellintError, OSError):
        return "faulty"


def _findings(context: LabelContext) -> tuple[Finding, ...]:
    """Returns the findings of a label; those of the fast rules where it was read for them."""
    return lint_context(context, context.settings, quick=context.quick).findings


def _safely(path: str, work: Callable[[], dict[str, Any]]) -> dict[str, Any]:
    """Returns the answer, or what kept it from being given; a defect of ours never ends a
    server."""
    try:
        return work()
    except InputError as error:
        return _faulty(*error.faults)
    except PanellintError as error:
        return _faulty(Fault(path, None, None, str(error)))
    except Exception as error:
        if os.environ.get(TRACEBACK):
            raise
        return _faulty(Fault(path, None, None, defect(error)))


def _faulty(*faults: Fault) -> dict[str, Any]:
    faulty = list(map(fault_data, faults))
    return {"diagnostics": [], "markdown": None, "span": None, "faults": faulty}


def fault_data(fault: Fault) -> dict[str, Any]:
    """Returns a fault as plain data."""
    place = {"path": fault.path, "line": fault.line, "column": fault.column}
    return {**place, "message": str(fault)}
