"""The server's plain answers as the protocol's types."""

from collections.abc import Iterable
from typing import Any

from lsprotocol import types
from lsprotocol.converters import get_converter

from panellint.core.source import Positions, Span
from panellint.server.completion import Completion

_converter = get_converter()


def diagnostics(data: Iterable[dict[str, Any]]) -> list[types.Diagnostic]:
    """Diagnostics from their plain form."""
    return [_converter.structure(diagnostic, types.Diagnostic) for diagnostic in data]


def fault_diagnostic(fault: dict[str, Any], uri: str | None = None) -> types.Diagnostic:
    """Returns what kept a label from being linted: at its own place where no `uri` is given, else
    at the top of the label, with `uri` for the file at fault."""
    own = _at(fault["line"], fault["column"])
    return types.Diagnostic(
        range=_at(1, None) if uri else own,
        severity=types.DiagnosticSeverity.Error,
        source="panellint",
        message=fault["message"],
        related_information=[
            types.DiagnosticRelatedInformation(types.Location(uri, own), fault["message"])
        ]
        if uri
        else None,
    )


def _at(line: int | None, column: int | None) -> types.Range:
    row = max(0, (line or 1) - 1)
    start = types.Position(row, max(0, (column or 1) - 1))
    return types.Range(start, start if column else types.Position(row + 1, 0))


def range_of(span: Span, positions: Positions) -> types.Range:
    """Returns a span in the client's units."""
    start, end = positions.units(span.start), positions.units(span.end)
    return types.Range(types.Position(*start), types.Position(*end))


def completion(number: int, item: Completion, positions: Positions) -> types.CompletionItem:
    """Returns a completion that keeps its rank."""
    return types.CompletionItem(
        label=item.text.strip(),
        kind=item.kind,
        detail=item.detail,
        sort_text=f"{number:03}",
        filter_text=item.text,
        text_edit=types.TextEdit(range_of(item.span, positions), item.text),
    )


def code_actions(
    diagnostic: types.Diagnostic, uri: str, version: int | None, versioned: bool
) -> list[types.CodeAction]:
    """Returns the remedies that a diagnostic brings, as quick fixes; the first one is preferred
    where it is the finding's own. With `versioned` the edit says which version it is made for."""
    assert isinstance(diagnostic.data, dict)
    remedies = diagnostic.data["remedies"]
    return [
        types.CodeAction(
            title=remedy["title"],
            kind=types.CodeActionKind.QuickFix,
            diagnostics=[diagnostic],
            edit=_edit(remedy["edits"], uri, version, versioned),
            is_preferred=(number == 0 and len(remedies) == 2) or None,
        )
        for number, remedy in enumerate(remedies)
    ]


def fix_all(
    diagnostics: Iterable[types.Diagnostic], uri: str, version: int | None, versioned: bool
) -> list[types.CodeAction]:
    """Returns the one action that makes every sure correction; none where there is none."""
    edits: list[dict[str, Any]] = []
    end = (-1, -1)
    for diagnostic in diagnostics:
        remedies = diagnostic.data["remedies"] if isinstance(diagnostic.data, dict) else []
        remedy = next((offered for offered in remedies if offered["sure"]), None)
        if remedy is not None and min(map(_start, remedy["edits"])) >= end:
            edits += remedy["edits"]
            end = max(_place(edit["range"]["end"]) for edit in remedy["edits"])
    if not edits:
        return []
    edit = _edit(edits, uri, version, versioned)
    return [
        types.CodeAction("Make the sure corrections", types.CodeActionKind.SourceFixAll, edit=edit)
    ]


def _start(edit: dict[str, Any]) -> tuple[int, int]:
    return _place(edit["range"]["start"])


def _place(position: dict[str, int]) -> tuple[int, int]:
    return position["line"], position["character"]


def _edit(
    edits: Iterable[dict[str, Any]], uri: str, version: int | None, versioned: bool
) -> types.WorkspaceEdit:
    """Returns edits of one document; with `versioned` they say which version they are made for."""
    text_edits = [_converter.structure(edit, types.TextEdit) for edit in edits]
    if not versioned:
        return types.WorkspaceEdit(changes={uri: text_edits})
    document = types.OptionalVersionedTextDocumentIdentifier(uri, version)
    return types.WorkspaceEdit(document_changes=[types.TextDocumentEdit(document, [*text_edits])])
