"""Against the protocol's own types, as lsprotocol publishes them."""

import json

import pytest
from lsprotocol import converters, types

from panellint.output.findings import lsp
from panellint.output.render_options import RenderOptions


def told(*stream):
    return json.loads("".join(lsp.write(iter(stream), RenderOptions())))


@pytest.fixture
def published(checked, clean):
    converter = converters.get_converter()
    return [
        converter.structure(one, types.PublishDiagnosticsParams) for one in told(checked, clean)
    ]


def test_the_protocols_types_take_it_and_give_it_back(checked, clean, published):
    assert converters.get_converter().unstructure(published) == told(checked, clean)


def test_a_clean_file_clears_what_was_shown(published):
    assert list(published[1].diagnostics) == []


def test_positions_are_utf16_units(source, published):
    first = published[0].diagnostics[0]
    line = source.text.splitlines()[0].encode("utf-16-le")
    start, end = first.range.start, first.range.end
    assert start.line == end.line == 0
    assert line[2 * start.character : 2 * end.character].decode("utf-16-le") == "Millet"
    related = first.related_information[0]
    place = related.location.range
    second = source.text.splitlines()[1].encode("utf-16-le")
    assert second[2 * place.start.character : 2 * place.end.character].decode("utf-16-le") == "peas"


def test_what_a_diagnostic_carries(published):
    first, second, third = published[0].diagnostics
    assert first.severity == types.DiagnosticSeverity.Error
    assert third.severity == types.DiagnosticSeverity.Hint
    assert first.code == "name-quarter-share"
    assert first.code_description.href == "https://regulator.example/section-3"
    assert second.code_description is None
    assert second.tags == (types.DiagnosticTag.Unnecessary,)
    assert first.tags is None
    assert first.data["certainty"] == "proven"
    assert first.data["rests_on"] == ["order", "percentages"]
    assert third.data["remedies"][0]["edits"][0]["newText"] == "salt (0.5 %)"


def test_addresses():
    assert lsp.uri_of("-") == "untitled:stdin"
    assert lsp.uri_of("/labels/a b é.panel") == "file:///labels/a%20b%20%C3%A9.panel"


def test_other_units_can_be_asked_for(findings):
    made = lsp.diagnostic(findings[0], "file:///x", lambda offset: (0, offset), "")
    assert made["range"]["start"] == {"line": 0, "character": findings[0].span.start}


def test_an_empty_run_is_an_array():
    assert told() == []
