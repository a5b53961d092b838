"""Hover, quick fixes, outline and completion over the protocol."""

import pytest
from lsprotocol import types
from pytest_lsp import client_capabilities

from panellint.core.source import Source

from .conftest import serving

pytestmark = pytest.mark.asyncio


def applied(text: str, action: types.CodeAction) -> str:
    """The text after a quick fix, edits applied from the back (all are in ASCII texts)."""
    changes = action.edit.document_changes
    edits = changes[0].edits if changes else next(iter(action.edit.changes.values()))
    source = Source(text)
    for edit in sorted(
        edits, key=lambda e: (e.range.start.line, e.range.start.character), reverse=True
    ):
        start, end = (
            source.line_start(at.line + 1) + at.character
            for at in (edit.range.start, edit.range.end)
        )
        text = text[:start] + edit.new_text + text[end:]
    return text


def at(uri: str, text: str, words: str) -> dict:
    line, column = Source(text).position(text.index(words))
    return {
        "text_document": types.TextDocumentIdentifier(uri),
        "position": types.Position(line - 1, column - 1),
    }


async def test_hover_on_an_ingredient_and_on_a_promise(tmp_path, label):
    async with serving(tmp_path) as editor:
        uri = editor.open("millet.panel", label)
        hover = editor.client.text_document_hover_async
        found = await hover(types.HoverParams(**at(uri, label, "millet, salt")))
        assert found.contents.value.startswith("**millet**: grain, plant, millet")
        assert "2nd of 3; at most" in found.contents.value
        assert "USDA" in found.contents.value
        assert found.range.end.character - found.range.start.character == len("millet")
        found = await hover(types.HoverParams(**at(uri, label, "Millet Dinner")))
        words = found.contents.value
        assert "“quarter”" in words
        assert "at least 25 %" in words
        assert "No recipe that fits this label keeps this promise." in words
        assert await hover(types.HoverParams(**at(uri, label, "Guaranteed"))) is None


async def test_hover_of_a_finding_has_reason_proof_and_source(tmp_path, label):
    (tmp_path / "panellint.yaml").write_text("rule-pages: https://rules.example/\n")
    async with serving(tmp_path) as editor:
        uri = editor.open("millet.panel", label)
        hover = editor.client.text_document_hover_async
        words = (await hover(types.HoverParams(**at(uri, label, "Crude fat")))).contents.value
        assert words.startswith("**warning**, proven: ")
        assert "*Why:* The four lines have a fixed order" in words
        assert "*Source:* " in words
        page = "https://rules.example/rules/guarantee-order.html"
        assert f"[guarantee-order]({page})" in words
        words = (await hover(types.HoverParams(**at(uri, label, "Millet Dinner")))).contents.value
        assert "*Shown by:*" in words
        assert words.index("**error**") < words.index("promises by the tier")
        found = await editor.told(
            uri, 1, lambda found: "guarantee-order" in {d.code for d in found}
        )
        assert page in {one.code_description.href for one in found if one.code_description}


async def test_the_hover_of_an_ingredient_is_short(tmp_path):
    text = "Ingredients: chicken, millet, salt.\n"
    async with serving(tmp_path) as editor:
        uri = editor.open("x.panel", text)
        found = await editor.client.text_document_hover_async(
            types.HoverParams(**at(uri, text, "chicken"))
        )
        assert len(found.contents.value) < 1000


FAULTY = """Product name: Quillbrook Larder Duck Dinner for Dogs
Ingredients: duck, milet, salt.
Guaranteed analysis
  Moisture (max.) ...... 8.0%
  Crude protein (min.) .. 26.0%
  Crude fat (min.) .... 14.0%
"""


@pytest.mark.parametrize("versioned", [True, False])
async def test_quick_fixes(tmp_path, versioned):
    edit = types.WorkspaceEditClientCapabilities(document_changes=versioned)
    able = types.ClientCapabilities(
        workspace=types.WorkspaceClientCapabilities(workspace_edit=edit)
    )
    async with serving(tmp_path, able) as editor:
        uri = editor.open("duck.panel", FAULTY)
        found = await editor.told(uri, 1, lambda found: len(found) > 3)
        by_rule = {one.code: one for one in found}

        fixes = await editor.actions(uri, by_rule["misspelt-name"])
        action = fixes["Write `millet`"]
        assert action.is_preferred
        assert action.kind == types.CodeActionKind.QuickFix
        assert (action.edit.changes is None) == versioned
        assert "duck, millet, salt" in applied(FAULTY, action)
        waive = next(fix for title, fix in fixes.items() if title.startswith("Waive"))
        assert "Waive misspelt-name until 2" in applied(FAULTY, waive).splitlines()[-1]

        fixes = await editor.actions(uri, by_rule["guarantee-order"])
        text = applied(FAULTY, fixes["Put the guarantees in the prescribed order"])
        assert text.splitlines()[3:] == [
            "  Crude protein (min.) .. 26.0%",
            "  Crude fat (min.) .... 14.0%",
            "  Moisture (max.) ...... 8.0%",
        ]

        fixes = await editor.actions(uri, by_rule["adequacy-missing"])
        intended = "Insert a statement for intermittent or supplemental feeding"
        editor.change(uri, applied(FAULTY, fixes[intended]), 2)
        found = await editor.told(uri, 2, lambda found: True)
        assert "adequacy-missing" not in {one.code for one in found}


async def test_no_fix_is_offered_for_a_text_that_has_changed(tmp_path):
    text = FAULTY + "x" * 25_000  # long enough for the findings to come later
    async with serving(tmp_path) as editor:
        uri = editor.open("duck.panel", FAULTY)
        found = await editor.told(uri, 1, lambda found: len(found) > 3)
        assert await editor.actions(uri, found[0])
        editor.change(uri, text, 2)
        assert not await editor.actions(uri, found[0])


async def test_the_outline_as_a_tree_and_flat(tmp_path):
    text = "Product name: Duck\nIngredients: duck, vitamins (vitamin E supplement, biotin).\n"
    wanted = {"text_document": types.TextDocumentIdentifier((tmp_path / "x.panel").as_uri())}
    async with serving(tmp_path, client_capabilities("visual-studio-code")) as editor:
        editor.open("x.panel", text)
        tree = await editor.client.text_document_document_symbol_async(
            types.DocumentSymbolParams(**wanted)
        )
        assert [one.name for one in tree] == ["Product name", "Ingredients"]
        duck, vitamins = tree[1].children
        assert duck.name == "duck"
        assert [one.name for one in vitamins.children] == ["vitamin E supplement", "biotin"]
    async with serving(tmp_path) as editor:
        editor.open("x.panel", text)
        flat = await editor.client.text_document_document_symbol_async(
            types.DocumentSymbolParams(**wanted)
        )
        assert [(one.name, one.container_name) for one in flat][-2:] == [
            ("vitamin E supplement", "vitamins"),
            ("biotin", "vitamins"),
        ]


@pytest.mark.parametrize(
    ("text", "offered"),
    [
        ("Ingredients: duck, chicken me", "chicken meal"),
        ("Product name: Duck\nCalorie c", "Calorie content:"),
        ("Ingredients: duck\nGuaranteed analysis\n  crude p", "Crude protein"),
        ("Ingredients: duck\nMarket: ", "EU"),
        ("Ingredients: duck\nWaive calorie-l", "calorie-line"),
    ],
)
async def test_completion(tmp_path, text, offered):
    async with serving(tmp_path) as editor:
        uri = editor.open("x.panel", text)
        line, column = Source(text).position(len(text))
        found = await editor.client.text_document_completion_async(
            types.CompletionParams(
                types.TextDocumentIdentifier(uri), types.Position(line - 1, column - 1)
            )
        )
        assert offered in [one.label for one in found.items]
        item = next(one for one in found.items if one.label == offered)
        assert item.text_edit.range.end == types.Position(line - 1, column - 1)
        assert text[len(text) - 1] == " " or item.text_edit.range.start.character < column - 1
