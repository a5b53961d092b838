"""Hints, lenses, fix all, pulled diagnostics and the client's settings, over the protocol."""

import asyncio
import re

import pytest
from lsprotocol import types

from panellint.core.source import Source

from .conftest import serving
from .test_diagnostics import rules
from .test_questions import applied, at

pytestmark = pytest.mark.asyncio

LABEL = """Product name: Quillbrook Larder Duck Dinner for Dogs
Ingredients: duck, brown rice, peas, flaxseed, salt.
Guaranteed analysis
  Crude protein (min.) 26.0%
  Crude fat (min.) 14.0%
  Crude fiber (max.) 5.0%
  Moisture (max.) 10.0%
"""


def identifier(uri: str) -> types.TextDocumentIdentifier:
    return types.TextDocumentIdentifier(uri)


async def hints(editor, uri: str) -> list[types.InlayHint]:
    whole = types.Range(types.Position(0, 0), types.Position(99, 0))
    return await editor.client.text_document_inlay_hint_async(
        types.InlayHintParams(identifier(uri), whole)
    )


async def test_the_likely_share_stands_beside_each_ingredient(tmp_path):
    async with serving(tmp_path) as editor:
        uri = editor.open("duck.panel", LABEL)
        found = await hints(editor, uri)
        assert len(found) == 5
        duck = found[0]
        line, column = Source(LABEL).position(LABEL.index(", brown"))
        assert duck.position == types.Position(line - 1, column - 1)
        low, high = (float(word) for word in duck.label.removesuffix(" %").split(" to "))
        assert 0 < low < high <= 100
        assert "Proven: between" in duck.tooltip or "Proven: at least" in duck.tooltip
        lenses = await editor.client.text_document_code_lens_async(
            types.CodeLensParams(identifier(uri))
        )
        words = lenses[0].command.title
        assert words.startswith("Duck Dinner: needs 25 %; label allows ")
        assert ", likely " in words
        hover = await editor.client.text_document_hover_async(
            types.HoverParams(**at(uri, LABEL, "duck, brown"))
        )
        assert "of the mix" in hover.contents.value
        assert "Likely " in hover.contents.value


async def test_hints_of_a_text_that_changes_are_those_of_the_newest(tmp_path):
    async with serving(tmp_path) as editor:
        uri = editor.open("duck.panel", LABEL)
        first = asyncio.ensure_future(hints(editor, uri))
        editor.change(uri, LABEL.replace("peas, ", ""), 2)
        second = await hints(editor, uri)
        assert len(second) == 4
        assert await first in (None, second) or len(await first) == 5


async def test_fix_all_makes_the_sure_corrections_alone(tmp_path):
    text = LABEL.replace("flaxseed", "flaxsed,").replace("peas", "milet")
    async with serving(tmp_path) as editor:
        uri = editor.open("duck.panel", text)
        await editor.told(uri, 1, lambda found: "misspelt-name" in rules(found))
        only = types.CodeActionContext([], only=[types.CodeActionKind.SourceFixAll])
        place = types.Range(types.Position(0, 0), types.Position(0, 0))
        found = await editor.client.text_document_code_action_async(
            types.CodeActionParams(identifier(uri), place, only)
        )
        assert [one.kind for one in found] == [types.CodeActionKind.SourceFixAll]
        assert "milet, flaxseed, salt" in applied(text, found[0])


async def test_diagnostics_that_are_asked_for_are_published_no_more(tmp_path):
    (tmp_path / "other one.panel").write_text("Ingredients: duck, flaxsed\n")
    async with serving(tmp_path) as editor:
        uri = editor.open("duck.panel", LABEL)
        report = await editor.client.text_document_diagnostic_async(
            types.DocumentDiagnosticParams(identifier(uri))
        )
        assert {one.code for one in report.items} >= {"calorie-line", "adequacy-missing"}
        before = len(editor.published)
        editor.change(uri, LABEL + "\n", 2)
        report = await editor.client.text_document_diagnostic_async(
            types.DocumentDiagnosticParams(identifier(uri))
        )
        assert report.items
        assert not [one for one in editor.published[before:] if one.diagnostics]
        whole = await editor.client.workspace_diagnostic_async(types.WorkspaceDiagnosticParams([]))
        assert [one.uri for one in whole.items] == [(tmp_path / "other one.panel").as_uri()]
        assert "misspelt-name" in {one.code for one in whole.items[0].items}
        known = [types.PreviousResultId(one.uri, one.result_id) for one in whole.items]
        again = await editor.client.workspace_diagnostic_async(
            types.WorkspaceDiagnosticParams(known)
        )
        assert [one.kind for one in again.items] == ["unchanged"]


async def test_the_clients_settings_name_the_market(tmp_path):
    async with serving(tmp_path) as editor:
        uri = editor.open("duck.panel", LABEL)
        await editor.told(uri, 1, lambda found: "calorie-line" in rules(found))
        editor.client.workspace_did_change_configuration(
            types.DidChangeConfigurationParams({"panellint": {"market": "eu"}})
        )
        await editor.told(uri, 1, lambda found: "eu-heading-composition" in rules(found))


async def test_places_links_tokens_and_layout(tmp_path):
    (tmp_path / "panellint.yaml").write_text("rule-pages: https://rules.example\n")
    (tmp_path / "duck.csv").write_text("ingredient,kg\nduck,1\n")
    text = LABEL.replace("brown rice, peas", "brown rice,    peas")
    text += "Batch sheet: duck.csv\nWaive calorie-line until 2099-01-01: in work\n"
    async with serving(tmp_path) as editor:
        uri = editor.open("duck.panel", text)
        client = editor.client
        target = await client.text_document_definition_async(
            types.DefinitionParams(**at(uri, text, "Duck Dinner"))
        )
        assert target.range.start.line == 1
        marks = await client.text_document_document_highlight_async(
            types.DocumentHighlightParams(**at(uri, text, "duck, brown"))
        )
        assert {one.range.start.line for one in marks} == {0, 1}
        links = await client.text_document_document_link_async(
            types.DocumentLinkParams(identifier(uri))
        )
        assert {one.target for one in links} == {
            (tmp_path / "duck.csv").as_uri(),
            "https://rules.example/rules/calorie-line.html",
        }
        folds = await client.text_document_folding_range_async(
            types.FoldingRangeParams(identifier(uri))
        )
        assert (2, 6) in {(one.start_line, one.end_line) for one in folds}
        tokens = await client.text_document_semantic_tokens_full_async(
            types.SemanticTokensParams(identifier(uri))
        )
        assert len(tokens.data) % 5 == 0
        assert tokens.data[:5] == [0, 0, len("Product name"), 0, 0] or tokens.data[2] > 5
        edits = await client.text_document_formatting_async(
            types.DocumentFormattingParams(identifier(uri), types.FormattingOptions(2, True))
        )
        assert any("brown rice, peas" in one.new_text for one in edits)


async def test_the_sentence_above_a_name_is_of_the_condition_that_decides(tmp_path):
    """Duck and millet reach a quarter together in each formula; millet may be under 3 %."""
    text = LABEL.replace("Duck Dinner", "Duck & Rice Dinner")
    async with serving(tmp_path) as editor:
        uri = editor.open("duck.panel", text)
        lenses = await editor.client.text_document_code_lens_async(
            types.CodeLensParams(identifier(uri))
        )
        assert re.match(r"Duck & Rice Dinner: needs .*rice 3 %; label", lenses[0].command.title)
