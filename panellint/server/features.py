"""What the server answers, by the protocol's names; each handler is thin over `LabelServer`."""

from collections.abc import AsyncIterator
from hashlib import sha256
from pathlib import Path

from lsprotocol import types
from pygls.capabilities import get_capability
from pygls.uris import to_fs_path

from panellint.core.source import Span
from panellint.lint.runner.files import Ignored, find
from panellint.rulepacks.settings import find as settings_file
from panellint.server import convert, reading
from panellint.server.answers import stamp_of
from panellint.server.app import PAUSE, LabelServer, key_of
from panellint.server.completion import completions
from panellint.server.reading import context_of, positions_of
from panellint.server.symbols import flat, symbols

_TRIGGERS = [",", "(", "[", ":", " "]


def make() -> LabelServer:
    """Returns a server that is ready to be started."""
    server = LabelServer()

    @server.feature(types.INITIALIZED)
    def initialized(_params: types.InitializedParams) -> None:
        server.watch_settings()

    @server.feature(types.INITIALIZE)
    def initialize(params: types.InitializeParams) -> None:
        server.configure(params.initialization_options)

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
        positions = positions_of(server, document.source)
        offset = positions.offset(params.position.line, params.position.character)
        answer = await server.hover_answer(document, offset)
        if answer is None or answer["markdown"] is None:
            return None
        content = types.MarkupContent(types.MarkupKind.Markdown, answer["markdown"])
        return types.Hover(content, convert.range_of(Span(*answer["span"]), positions))

    @server.feature(
        types.TEXT_DOCUMENT_CODE_ACTION,
        types.CodeActionOptions(
            code_action_kinds=[types.CodeActionKind.QuickFix, types.CodeActionKind.SourceFixAll]
        ),
    )
    def code_action(params: types.CodeActionParams) -> list[types.CodeAction]:
        uri = params.text_document.uri
        only = [str(getattr(kind, "value", kind)) for kind in params.context.only or [""]]
        shown = server.shown.get(key_of(uri))
        versioned = _client_can(server, "workspace.workspace_edit.document_changes")
        if shown is None or not server.is_current(uri, shown.version):
            return []
        actions: list[types.CodeAction] = []
        if any("quickfix".startswith(kind) for kind in only):
            for diagnostic in server.diagnostics_in(uri, params.range):
                if isinstance(diagnostic.data, dict):
                    actions += convert.code_actions(diagnostic, uri, shown.version, versioned)
        if any("source.fixAll".startswith(kind) for kind in only):
            actions += convert.fix_all(shown.diagnostics, uri, shown.version, versioned)
        return actions

    @server.feature(types.WORKSPACE_DID_CHANGE_CONFIGURATION)
    def configured(params: types.DidChangeConfigurationParams) -> None:
        server.configure(params.settings)
        server.settings_changed()

    @server.feature(
        types.TEXT_DOCUMENT_DIAGNOSTIC,
        types.DiagnosticOptions(
            inter_file_dependencies=False, workspace_diagnostics=True, identifier="panellint"
        ),
    )
    async def pulled(params: types.DocumentDiagnosticParams) -> types.DocumentDiagnosticReport:
        items = await server.report(params.text_document.uri)
        return types.RelatedFullDocumentDiagnosticReport(items)

    @server.feature(types.WORKSPACE_DIAGNOSTIC)
    async def workspace(params: types.WorkspaceDiagnosticParams) -> types.WorkspaceDiagnosticReport:
        known = {key_of(before.uri): before.value for before in params.previous_result_ids}
        return types.WorkspaceDiagnosticReport([report async for report in _reports(server, known)])

    @server.feature(types.TEXT_DOCUMENT_DOCUMENT_SYMBOL)
    def document_symbol(
        params: types.DocumentSymbolParams,
    ) -> list[types.DocumentSymbol] | list[types.SymbolInformation]:
        uri = params.text_document.uri
        context = context_of(server, uri)
        if context is None:
            return []
        tree = symbols(context, positions_of(server, context.source.text))
        trees = "text_document.document_symbol.hierarchical_document_symbol_support"
        return tree if _client_can(server, trees) else flat(tree, uri)

    @server.feature(
        types.TEXT_DOCUMENT_COMPLETION, types.CompletionOptions(trigger_characters=_TRIGGERS)
    )
    def completion(params: types.CompletionParams) -> types.CompletionList:
        context = context_of(server, params.text_document.uri)
        if context is None:
            return types.CompletionList(is_incomplete=False, items=[])
        positions = positions_of(server, context.source.text)
        offset = positions.offset(params.position.line, params.position.character)
        fitting, whole = completions(context, offset)
        items = [convert.completion(n, item, positions) for n, item in enumerate(fitting)]
        return types.CompletionList(is_incomplete=not whole or not items, items=items)

    reading.register(server)
    return server


async def _reports(
    server: LabelServer, known: dict[str, str]
) -> AsyncIterator[types.WorkspaceDocumentDiagnosticReport]:
    """Yields a report of each label of the workspace that is not open; one whose text and settings
    are as the client has them is reported as unchanged."""
    folders = [to_fs_path(uri) for uri in server.workspace.folders]
    for path in find([folder for folder in folders if folder], Ignored()).paths:
        uri = Path(path).absolute().as_uri()
        if server.document(uri) is not None:
            continue
        stamp = stamp_of(settings_file(Path(path))).encode()
        mark = sha256(stamp + Path(path).read_bytes()).hexdigest()
        if known.get(key_of(uri)) == mark:
            yield types.WorkspaceUnchangedDocumentDiagnosticReport(uri, mark)
        else:
            items = await server.report_file(path)
            yield types.WorkspaceFullDocumentDiagnosticReport(uri, items, result_id=mark)


def _client_can(server: LabelServer, what: str) -> bool:
    return bool(get_capability(server.client_capabilities, what, False))
