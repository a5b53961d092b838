"""Diagnostics over the protocol, from a server in a process of its own."""

import asyncio
from itertools import pairwise

import pytest
from lsprotocol import types

from panellint.server.app import key_of

from .conftest import serving


def rules(diagnostics):
    return {one.code for one in diagnostics if one is not None}


FAST = "guarantee-order"
PROVEN = "name-quarter"  # the guaranteed protein leaves too little room for millet


@pytest.mark.asyncio
async def test_fast_rules_at_once_and_proofs_after_a_pause(tmp_path, label):
    async with serving(tmp_path) as editor:
        uri = editor.open("millet.panel", label)
        first = await editor.told(uri, 1, lambda found: True)
        assert FAST in rules(first)
        proven = await editor.told(uri, 1, lambda found: PROVEN in rules(found))
        assert FAST in rules(proven)
        finding = next(one for one in proven if one.code == PROVEN)
        assert finding.source == "panellint"
        assert finding.data["proof"]
        assert (finding.range.start.line, finding.range.start.character) == (0, 32)
        before = next(one for one in editor.published if one.uri == uri)
        assert PROVEN not in rules(before.diagnostics)


@pytest.mark.asyncio
async def test_nothing_is_told_of_a_version_that_is_not_the_newest(tmp_path, label):
    async with serving(tmp_path) as editor:
        uri = editor.open("millet.panel", label)
        for version in range(2, 30):
            editor.change(uri, label + "\n" * version, version)
            await asyncio.sleep(0.01)
        await editor.told(uri, 29, lambda found: PROVEN in rules(found))
        versions = [one.version for one in editor.published if one.uri == uri]
        assert all(a <= b for a, b in pairwise(versions))
        # While typing goes on nothing is proven.
        assert {one.version for one in editor.published if PROVEN in rules(one.diagnostics)} <= {
            1,
            29,
        }


@pytest.mark.asyncio
async def test_a_correction_takes_the_finding_away_and_closing_takes_all(tmp_path, label):
    async with serving(tmp_path) as editor:
        uri = editor.open("millet.panel", label)
        await editor.told(uri, 1, lambda found: FAST in rules(found))
        editor.change(
            uri, label.replace("fat", "protein", 1).replace("protein (min.) 60", "fat (min.) 6"), 2
        )
        found = await editor.told(uri, 2, lambda found: True)
        assert FAST not in rules(found)
        identifier = types.TextDocumentIdentifier(uri)
        editor.client.text_document_did_close(types.DidCloseTextDocumentParams(identifier))
        assert await editor.told(uri, None, lambda found: not found) == [None]


@pytest.mark.asyncio
async def test_a_uri_that_is_percent_encoded(tmp_path, label):
    async with serving(tmp_path) as editor:
        for name in ("a b.panel", "p\u00e2t\u00e9.panel", "100 % duck.panel"):
            uri = editor.open(name, label)
            assert "%" in uri
            await editor.told(uri, 1, lambda found: FAST in rules(found))
            editor.change(uri, label + "\n", 2)
            found = await editor.told(uri, 2, lambda found: PROVEN in rules(found))
            assert await editor.actions(uri, found[0])
            identifier = types.TextDocumentIdentifier(uri)
            editor.client.text_document_did_close(types.DidCloseTextDocumentParams(identifier))
            assert await editor.told(uri, None, lambda found: not found) == [None]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("file:///c%3A/labels/a%20b.panel", "file:///C:/labels/a b.panel"),
        ("file:///p%C3%A2t%C3%A9.panel", "file:///p\u00e2t\u00e9.panel"),
        ("untitled:Untitled-1", "untitled:Untitled-1"),
    ],
)
def test_one_key_for_every_way_to_write_a_uri(one, other):
    assert key_of(one) == key_of(other)


@pytest.mark.parametrize(
    ("encoding", "character"), [(None, 17), ("utf-8", 19), ("utf-16", 17), ("utf-32", 16)]
)
@pytest.mark.asyncio
async def test_positions_in_the_encoding_that_was_agreed(tmp_path, encoding, character):
    offered = [types.PositionEncodingKind(encoding)] if encoding else None
    capabilities = types.ClientCapabilities(
        general=types.GeneralClientCapabilities(position_encodings=offered)
    )
    async with serving(tmp_path, capabilities) as editor:
        uri = editor.open("x.panel", "Ingredients: \N{DUCK}, milet.\n")
        found = await editor.told(uri, 1, lambda found: "misspelt-name" in rules(found))
        finding = next(one for one in found if one.code == "misspelt-name")
        # "Ingredients: " is 13 long, the duck 4 bytes, 2 units or 1 code point, ", " 2
        assert finding.range.start == types.Position(0, character)


@pytest.mark.asyncio
async def test_faulty_settings_are_told_and_forgotten_when_mended(tmp_path, label):
    settings = tmp_path / "panellint.yaml"
    settings.write_text("market: mars\n")
    async with serving(tmp_path) as editor:
        uri = editor.open("millet.panel", label)
        found = await editor.told(uri, 1, lambda found: True)
        assert [one.severity for one in found] == [types.DiagnosticSeverity.Error]
        assert "panellint.yaml:1:9" in found[0].message
        assert found[0].related_information[0].location.uri == settings.as_uri()
        own = await editor.told(settings.as_uri(), None, bool)
        assert own[0].range.start == types.Position(0, 8)
        await editor.until(lambda: editor.messages)
        assert "mars" in editor.messages[0].message
        settings.write_text("market: us\n")
        editor.save(settings.as_uri())
        await editor.told(uri, 1, lambda found: PROVEN in rules(found))
        assert await editor.told(settings.as_uri(), None, lambda found: not found) == [None]


@pytest.mark.asyncio
async def test_an_ignored_label_is_left_alone_until_it_is_ignored_no_more(tmp_path, label):
    ignore = tmp_path / ".panellintignore"
    ignore.write_text("drafts-*.panel\n")
    async with serving(tmp_path) as editor:
        ignored = editor.open("drafts-millet.panel", label)
        other = editor.open("millet.panel", label)
        await editor.told(other, 1, lambda found: PROVEN in rules(found))
        assert await editor.told(ignored, 1, lambda found: not found)
        ignore.unlink()
        editor.change(ignored, label + "\n", 2)
        await editor.told(ignored, 2, lambda found: PROVEN in rules(found))


@pytest.mark.asyncio
async def test_a_pack_of_ones_own_that_changes_counts_from_the_next_change_on(tmp_path):
    pack = """
pack: quillbrook
rules:
  - id: quillbrook-no-{word}
    title: No {word} in our foods
    check: list-words
    severity: {{practice: warning}}
    with: {{words: [{word}], whole: false, certainty: practice}}
    says: "{{words}} is not ours."
    because: The brand does without.
    source: {{practice: true}}
    examples:
      passes: ["Ingredients: duck"]
      fails: [{{text: "Ingredients: duck, {word}", marks: {word}}}]
"""
    (tmp_path / "own.yaml").write_text(pack.format(word="rice"))
    (tmp_path / "panellint.yaml").write_text("packs: [own.yaml]\n")
    async with serving(tmp_path) as editor:
        uri = editor.open("x.panel", "Ingredients: duck, rice, salt.\n")
        await editor.told(uri, 1, lambda found: "quillbrook-no-rice" in rules(found))
        (tmp_path / "own.yaml").write_text(pack.format(word="salt") + "\n")
        editor.change(uri, "Ingredients: duck, rice, salt. \n", 2)
        await editor.told(
            uri,
            2,
            lambda found: (
                "quillbrook-no-salt" in rules(found) and "quillbrook-no-rice" not in rules(found)
            ),
        )


@pytest.mark.asyncio
async def test_a_huge_buffer_is_answered_and_said_to_be_too_long(tmp_path):
    names = "duck, millet, hemp seed, milet, pumpkin, dried egg, salt, "
    async with serving(tmp_path) as editor:
        uri = editor.open("huge.panel", "Ingredients: " + names * 1500 + "salt.\n")
        small = editor.open("small.panel", "Ingredients: duck, milet.\n")
        found = await editor.told(small, 1, bool)  # the other one keeps nobody waiting
        assert "misspelt-name" in rules(found)
        await editor.told(uri, 1, lambda found: "misspelt-name" in rules(found))
        await editor.until(lambda: editor.messages)
        assert "too long" in editor.messages[0].message


@pytest.mark.asyncio
async def test_a_label_that_has_no_file_yet(tmp_path):
    (tmp_path / "panellint.yaml").write_text("market: eu\n")
    async with serving(tmp_path) as editor:
        item = types.TextDocumentItem("untitled:Untitled-1", "panel", 1, "Ingredients: milet.\n")
        editor.client.text_document_did_open(types.DidOpenTextDocumentParams(item))
        found = await editor.told(item.uri, 1, bool)
        assert {"misspelt-name", "eu-heading-composition"} <= rules(found)
