"""What the server answers, by the protocol's names; each handler is thin over `LabelServer`."""

from __future__ import annotations

from lsprotocol import types

from panellint.analysis.context import LabelContext
from panellint.core.errors import PanellintError
from panellint.core.source import Source, Span
from panellint.server import convert
from panellint.server.app import LONG, PAUSE, LabelServer, key_of
from panellint.server.completion import completions
from panellint.server.positions import Positions
from panellint.server.symbols import symbols

_TRIGGERS = [",", "(", "[", ":", " "]


def make() -> LabelServer:
    """Returns a server that is ready to be started."""
    server = LabelServer()

    @server.feature(types.INITIALIZED)
    def initialized(_params: types.InitializedParams) -> None:
        server.watch_settings()

    @server.feature(types.TEXT_DOCUMENT_DID_OPEN)
    def did_open(params: types.DidOpenTextDocumentParams) -> None:
        server.check(params.text_document.uri, 0)

    @server.feature(types.TEXT_DOCUMENT_DID_CHANGE)
    def did_change(params: types.DidChangeTextDocumentParams) -> None:
        server.check(params.text_document.uri, PAUSE)

    @server.feature(types.TEXT_DOCUMENT_DID_SAVE)
    def did_save(params: types.DidSaveTextDocumentParams) -> None:
        if server.document(params.text_document.uri) is None:
            server.settings_changed()
        else:
            server.check(params.text_document.uri, 0)

    @server.feature(types.TEXT_DOCUMENT_DID_CLOSE)
    def did_close(params: types.DidCloseTextDocumentParams) -> None:
        server.close(params.text_document.uri)

    @server.feature(types.WORKSPACE_DID_CHANGE_WATCHED_FILES)
    def watched(_params: types.DidChangeWatchedFilesParams) -> None:
        server.settings_changed()

    @server.feature(types.TEXT_DOCUMENT_HOVER)
    async def hover(params: types.HoverParams) -> types.Hover | None:
        document = server.document(params.text_document.uri)
        if document is None:
            return None
        positions = _positions(server, document.source)
        offset = positions.offset(params.position.line, params.position.character)
        answer = await server.hover_answer(document, offset)
        if answer is None or answer["markdown"] is None:
            return None
        content = types.MarkupContent(types.MarkupKind.Markdown, answer["markdown"])
        return types.Hover(content, convert.range_of(Span(*answer["span"]), positions))

    @server.feature(
        types.TEXT_DOCUMENT_CODE_ACTION,
        types.CodeActionOptions(code_action_kinds=[types.CodeActionKind.QuickFix]),
    )
    def code_action(params: types.CodeActionParams) -> list[types.CodeAction]:
        uri, only = params.text_document.uri, params.context.only
        if only and not any("quickfix".startswith(str(getattr(one, "value", one))) for one in only):
            return []
        versioned = _can_version(server)
        return [
            action
            for diagnostic in server.diagnostics_in(uri, params.range)
            if isinstance(diagnostic.data, dict)
            for action in convert.code_actions(
                diagnostic, uri, server.shown[key_of(uri)].version, versioned
            )
        ]

    @server.feature(types.TEXT_DOCUMENT_DOCUMENT_SYMBOL)
    def document_symbol(
        params: types.DocumentSymbolParams,
    ) -> list[types.DocumentSymbol] | list[types.SymbolInformation]:
        uri = params.text_document.uri
        context = _context(server, uri)
        if context is None:
            return []
        positions = _positions(server, context.source.text)
        symbols_ = symbols(context)
        if _knows_trees(server):
            return [convert.document_symbol(one, positions) for one in symbols_]
        return convert.flat_symbols(symbols_, uri, positions)

    @server.feature(
        types.TEXT_DOCUMENT_COMPLETION, types.CompletionOptions(trigger_characters=_TRIGGERS)
    )
    def completion(params: types.CompletionParams) -> types.CompletionList:
        context = _context(server, params.text_document.uri)
        if context is None:
            return types.CompletionList(is_incomplete=False, items=[])
        positions = _positions(server, context.source.text)
        offset = positions.offset(params.position.line, params.position.character)
        symbols_, whole = completions(context, offset)
        items = [convert.completion(n, one, positions) for n, one in enumerate(symbols_)]
        return types.CompletionList(is_incomplete=not whole or not items, items=items)

    return server


def _positions(server: LabelServer, text: str) -> Positions:
    encoding = server.workspace.position_encoding or types.PositionEncodingKind.Utf16
    return Positions(Source(text), str(getattr(encoding, "value", encoding)))


def _context(server: LabelServer, uri: str) -> LabelContext | None:
    """Returns the label as it stands; None where it is closed, far too long to be read with each
    key, or its settings are faulty (which the diagnostics say)."""
    document = server.document(uri)
    if document is None or len(document.source) > LONG:
        return None
    try:
        return server.answers.context(server.question(document, quick=True))
    except PanellintError:
        return None


def _can_version(server: LabelServer) -> bool:
    workspace = server.client_capabilities.workspace
    edit = workspace.workspace_edit if workspace else None
    return bool(edit and edit.document_changes)


def _knows_trees(server: LabelServer) -> bool:
    document = server.client_capabilities.text_document
    symbol = document.document_symbol if document else None
    return bool(symbol and symbol.hierarchical_document_symbol_support)
