"""A client of the server in its own process, that remembers all that was published."""

from __future__ import annotations

import asyncio
import os
import sys
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
from lsprotocol import types
from pygls.protocol import default_converter
from pytest_lsp import LanguageClient
from pytest_lsp.client import DEFAULT_CLIENT_FEATURES, register_lsp_features

PATIENCE = 120
COMMAND = [sys.executable, "-m", "panellint", "serve"]


class Editor:
    """What the tests do with a server, as an editor would."""

    def __init__(self, client: LanguageClient, folder: Path) -> None:
        self.client = client
        self.folder = folder
        self.published: list[types.PublishDiagnosticsParams] = []
        self.messages: list[types.ShowMessageParams] = []
        self._news = asyncio.Event()

    def hear(self, params: Any) -> None:
        if isinstance(params, types.ShowMessageParams):
            self.messages.append(params)
        else:
            self.published.append(params)
        self._news.set()

    def uri(self, name: str) -> str:
        return (self.folder / name).as_uri()

    def open(self, name: str, text: str, version: int = 1) -> str:
        uri = self.uri(name)
        item = types.TextDocumentItem(uri, "panel", version, text)
        self.client.text_document_did_open(types.DidOpenTextDocumentParams(item))
        return uri

    def change(self, uri: str, text: str, version: int) -> None:
        self.client.text_document_did_change(
            types.DidChangeTextDocumentParams(
                types.VersionedTextDocumentIdentifier(version, uri),
                [types.TextDocumentContentChangeWholeDocument(text)],
            )
        )

    def save(self, uri: str) -> None:
        identifier = types.TextDocumentIdentifier(uri)
        self.client.text_document_did_save(types.DidSaveTextDocumentParams(identifier))

    async def until(self, holds: Callable[[], Any]) -> Any:
        """Wait for news until something holds; what it gave."""
        async with asyncio.timeout(PATIENCE):
            while not (found := holds()):
                self._news.clear()
                await self._news.wait()
        return found

    async def told(
        self, uri: str, version: int | None, holds: Callable[[list[types.Diagnostic]], bool]
    ) -> list[types.Diagnostic]:
        """The diagnostics of a version, once they are as wanted."""
        return await self.until(
            lambda: next(
                (
                    list(one.diagnostics) or [None]
                    for one in reversed(self.published)
                    if one.uri == uri and one.version == version and holds(list(one.diagnostics))
                ),
                None,
            )
        )

    async def actions(self, uri: str, diagnostic: types.Diagnostic) -> dict[str, types.CodeAction]:
        found = await self.client.text_document_code_action_async(
            types.CodeActionParams(
                types.TextDocumentIdentifier(uri),
                diagnostic.range,
                types.CodeActionContext([diagnostic]),
            )
        )
        return {one.title: one for one in found}


@asynccontextmanager
async def serving(
    folder: Path, capabilities: types.ClientCapabilities | None = None, **environment: str
) -> AsyncIterator[Editor]:
    """A server with an editor, that is shut down in order."""
    client = LanguageClient(converter_factory=default_converter)
    editor = Editor(client, folder)
    features = dict(DEFAULT_CLIENT_FEATURES)
    features[types.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS] = lambda params: editor.hear(params)
    features[types.WINDOW_SHOW_MESSAGE] = lambda params: editor.hear(params)
    register_lsp_features(client, features)
    await client.start_io(*COMMAND, env={**os.environ, **environment}, cwd=folder)
    try:
        await client.initialize_session(
            types.InitializeParams(
                capabilities=capabilities or types.ClientCapabilities(),
                workspace_folders=[types.WorkspaceFolder(folder.as_uri(), folder.name)],
                root_uri=folder.as_uri(),
            )
        )
        yield editor
    finally:
        await asyncio.wait_for(client.shutdown_session(), PATIENCE)
        await client.stop()


@pytest.fixture
def label() -> str:
    """A label with guarantees out of order; that the name is not kept needs the solver."""
    return LABEL


LABEL = """Product name: Quillbrook Larder Millet Dinner for Dogs
Ingredients: duck, millet, salt.
Guaranteed analysis
  Crude fat (min.) 2.0%
  Crude protein (min.) 60.0%
  Crude fiber (max.) 5.0%
  Moisture (max.) 8.0%
"""
