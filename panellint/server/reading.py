"""What a client asks of the text itself: hints, lenses, folding, colours, places, links, layout."""

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, TypeVar

from lsprotocol import types

from panellint.analysis.context import LabelContext
from panellint.core.errors import PanellintError
from panellint.core.source import Positions, Source, Span
from panellint.server import convert, layout
from panellint.server.app import LONG, LabelServer

Answer = TypeVar("Answer")


def register(server: LabelServer) -> None:
    """Adds these questions to a server."""

    @server.feature(types.TEXT_DOCUMENT_INLAY_HINT)
    async def inlay_hint(params: types.InlayHintParams) -> list[types.InlayHint] | None:
        document = server.document(params.text_document.uri)
        margin = await server.margin(params.text_document.uri)
        if document is None or margin is None:
            return None
        positions = positions_of(server, document.source)
        rows = (
            (types.Position(*positions.units(at)), words, tip) for at, words, tip in margin["hints"]
        )
        return [
            types.InlayHint(place, words, tooltip=tip, padding_left=True)
            for place, words, tip in rows
            if params.range.start.line <= place.line <= params.range.end.line
        ]

    @server.feature(types.TEXT_DOCUMENT_CODE_LENS)
    async def code_lens(params: types.CodeLensParams) -> list[types.CodeLens] | None:
        document = server.document(params.text_document.uri)
        margin = await server.margin(params.text_document.uri)
        if document is None or margin is None:
            return None
        positions = positions_of(server, document.source)
        return [
            types.CodeLens(convert.range_of(Span(start, end), positions), types.Command(words, ""))
            for start, end, words in margin["lenses"]
        ]

    def asked(uri: str, of: Callable[[LabelContext, Positions], Answer], none: Answer) -> Answer:
        context = context_of(server, uri)
        return none if context is None else of(context, positions_of(server, context.source.text))

    @server.feature(types.TEXT_DOCUMENT_FOLDING_RANGE)
    def folding(params: types.FoldingRangeParams) -> list[types.FoldingRange]:
        return asked(
            params.text_document.uri,
            lambda label, _: [types.FoldingRange(*lines) for lines in layout.folds(label)],
            [],
        )

    @server.feature(
        types.TEXT_DOCUMENT_SEMANTIC_TOKENS_FULL,
        types.SemanticTokensLegend(token_types=list(layout.TOKENS), token_modifiers=[]),
    )
    def semantic_tokens(params: types.SemanticTokensParams) -> types.SemanticTokens:
        none: list[int] = []
        data = asked(params.text_document.uri, lambda *label: list(_encoded(*label)), none)
        return types.SemanticTokens(data)

    def places(params: Any) -> list[types.Range]:
        def of(label: LabelContext, positions: Positions) -> list[types.Range]:
            offset = positions.offset(params.position.line, params.position.character)
            return [convert.range_of(span, positions) for span in layout.mentions(label, offset)]

        return asked(params.text_document.uri, of, [])

    @server.feature(types.TEXT_DOCUMENT_DEFINITION)
    def definition(params: types.DefinitionParams) -> types.Location | None:
        ranges = places(params)
        return types.Location(params.text_document.uri, ranges[0]) if ranges else None

    @server.feature(types.TEXT_DOCUMENT_DOCUMENT_HIGHLIGHT)
    def highlight(params: types.DocumentHighlightParams) -> list[types.DocumentHighlight]:
        return [types.DocumentHighlight(place) for place in places(params)]

    @server.feature(types.TEXT_DOCUMENT_DOCUMENT_LINK)
    def links(params: types.DocumentLinkParams) -> list[types.DocumentLink]:
        return asked(params.text_document.uri, lambda *label: list(_links(*label)), [])

    @server.feature(types.TEXT_DOCUMENT_FORMATTING)
    def formatting(params: types.DocumentFormattingParams) -> list[types.TextEdit]:
        def of(label: LabelContext, positions: Positions) -> list[types.TextEdit]:
            edits = layout.formatted(label)
            return [
                types.TextEdit(convert.range_of(edit.span, positions), edit.text) for edit in edits
            ]

        return asked(params.text_document.uri, of, [])


def positions_of(server: LabelServer, text: str) -> Positions:
    """Returns the places of a text as the client counts them."""
    encoding = server.workspace.position_encoding or types.PositionEncodingKind.Utf16
    return Positions(Source(text), str(getattr(encoding, "value", encoding)))


def context_of(server: LabelServer, uri: str) -> LabelContext | None:
    """Returns the label as it stands; None where it is closed, far too long to be read with each
    key, or its settings are faulty (which the diagnostics say)."""
    document = server.document(uri)
    if document is None or len(document.source) > LONG:
        return None
    try:
        return server.answers.context(server.question(document, quick=True))
    except PanellintError:
        return None


def _encoded(label: LabelContext, positions: Positions) -> Iterator[int]:
    """Yields the tokens as the protocol has them: each relative to the one before."""
    line = character = 0
    for token in layout.tokens(label):
        (row, start), (_, end) = (positions.units(offset) for offset in token.span)
        yield from (row - line, start - (character if row == line else 0), end - start)
        yield from (token.kind, 0)
        line, character = row, start


def _links(label: LabelContext, positions: Positions) -> Iterator[types.DocumentLink]:
    """Yields links to the batch sheet that the label names, and to the pages of waived rules."""
    for section in label.label.sections_of("batch-sheet"):
        sheet = Path(label.source.path).parent / section.text.strip().partition("[")[0]
        if os.path.isfile(sheet):
            words = Span(section.body.start, section.body.start + len(section.text.rstrip()))
            place = convert.range_of(words, positions)
            yield types.DocumentLink(place, sheet.absolute().as_uri(), "The batch sheet")
    for waiver in label.label.waivers:
        if page := label.settings.page_of(waiver.rule):
            place = convert.range_of(waiver.rule_span, positions)
            yield types.DocumentLink(place, page, "What the rule asks for")
