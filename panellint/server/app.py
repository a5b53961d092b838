"""The server as the Language Server Protocol sees it.

Diagnostics of the fast rules go out with each change; those of all rules when typing has
paused, worked out in the prover's process. Nothing goes out for a version of a document that
is no longer the newest.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from contextlib import suppress
from itertools import chain
from pathlib import Path
from typing import Any, NamedTuple, cast
from urllib.parse import unquote

from lsprotocol import types
from pygls.lsp.server import LanguageServer
from pygls.workspace import TextDocument

from panellint import __version__
from panellint.core.errors import PanellintError
from panellint.lint.runner.files import IGNORE_FILE
from panellint.rulepacks import settings
from panellint.server import convert
from panellint.server.answers import Answers, Question
from panellint.server.protocol import Protocol
from panellint.server.prover import Prover

#: Seconds without a change before the prover is asked.
PAUSE = 0.5
#: Seconds that a hover waits for the prover before it answers by order alone.
HOVER_WAITS = 2.0
#: Characters up to which a text is looked at with every change; a label has some 3,000.
LONG = 20_000
#: Characters up to which all rules run; a longer text is for `panellint lint`.
TOO_LONG = 60_000


class Shown(NamedTuple):
    """The diagnostics that the client has, and for which version."""

    version: int | None
    diagnostics: list[types.Diagnostic]


class LabelServer(LanguageServer):
    """One client's server; `check` is what a change leads to."""

    def __init__(self) -> None:
        # The whole text with each change: labels are short, and what counts as a line end in
        # the middle of a text is then nobody's guess.
        super().__init__(
            "panellint",
            __version__,
            text_document_sync_kind=types.TextDocumentSyncKind.Full,
            protocol_cls=Protocol,
        )
        self.answers = Answers()
        self.prover = Prover()
        self.shown: dict[str, Shown] = {}
        self._pending: dict[str, asyncio.Task[None]] = {}
        self._faults: dict[str, list[dict[str, Any]]] = {}
        self._faulty_files: set[str] = set()
        self._messages: set[str] = set()

    @property
    def exit_status(self) -> int:
        """Returns how the process ends: 1 where the client left without `shutdown`."""
        return cast(Protocol, self.protocol).exit_status

    # Documents -------------------------------------------------------------------------------

    def document(self, uri: str) -> TextDocument | None:
        """Returns an open label; None for what is closed, and for settings and packs."""
        key = key_of(uri)
        if key.endswith((".yaml", ".yml")):
            return None
        return next((one for one in self.documents() if key_of(one.uri) == key), None)

    def documents(self) -> list[TextDocument]:
        """Returns all that the client has open, under the URI that it gave each."""
        return list(self.workspace.text_documents.values())

    def question(self, document: TextDocument, quick: bool) -> Question:
        """Returns the question that a document puts."""
        path = document.path if document.uri.startswith("file:") else ""
        encoding = self.workspace.position_encoding or types.PositionEncodingKind.Utf16
        if not path and self.workspace.root_path:
            path = str(Path(self.workspace.root_path) / "untitled")
        return Question(
            document.source,
            path or "-",
            document.uri,
            str(getattr(encoding, "value", encoding)),
            quick,
        )

    def is_current(self, uri: str, version: int | None) -> bool:
        """Returns whether a version is still the newest of an open document."""
        document = self.document(uri)
        return document is not None and document.version == version

    # Diagnostics -----------------------------------------------------------------------------

    def check(self, uri: str, pause: float) -> None:
        """Publishes what the fast rules find, and what the others find after a pause."""
        self.leave(uri)
        document = self.document(uri)
        if document is None:
            return
        if len(document.source) <= LONG:
            self._show(document, self.answers.lint(self.question(document, quick=True)))
        task = asyncio.get_running_loop().create_task(self._prove(document, pause))
        self._pending[key_of(uri)] = task

    def check_all(self) -> None:
        """Checks every open label anew, as when settings or a pack changed."""
        for document in self.documents():
            self.check(document.uri, 0)

    def leave(self, uri: str) -> None:
        """Gives up what is being worked out for a document."""
        task = self._pending.pop(key_of(uri), None)
        if task is not None:
            task.cancel()

    def close(self, uri: str) -> None:
        """Takes back what was published of a document."""
        self.leave(uri)
        if self.shown.pop(key_of(uri), None) is not None:
            self._publish(uri, None, [])
        self._publish_faults(uri, [])

    async def _prove(self, document: TextDocument, pause: float) -> None:
        uri, version, length = document.uri, document.version, len(document.source)
        await asyncio.sleep(pause)
        with suppress(PanellintError):
            for quick in (True, False) if length > LONG else (False,):
                if length > TOO_LONG and not quick:
                    self._message_once(
                        types.MessageType.Info,
                        f"{document.filename}: too long for all rules to run in an editor; "
                        "panellint lint runs them",
                    )
                    return
                answer = await self.prover.lint(self.question(document, quick))
                if not self.is_current(uri, version):
                    return
                self._show(document, answer)

    def _show(self, document: TextDocument, answer: dict[str, Any]) -> None:
        diagnostics = convert.diagnostics(answer["diagnostics"])
        diagnostics += [
            convert.fault_diagnostic(fault, _file_of(fault) or document.uri)
            for fault in answer["faults"]
        ]
        self.shown[key_of(document.uri)] = Shown(document.version, diagnostics)
        self._publish(document.uri, document.version, diagnostics)
        self._publish_faults(document.uri, answer["faults"])

    def _publish(self, uri: str, version: int | None, diagnostics: list[types.Diagnostic]) -> None:
        self.text_document_publish_diagnostics(
            types.PublishDiagnosticsParams(uri, diagnostics, version=version)
        )

    # Faulty settings -------------------------------------------------------------------------

    def _publish_faults(self, uri: str, faults: list[dict[str, Any]]) -> None:
        """Marks faults of settings and packs in their own files too, while there are any."""
        if faults:
            self._faults[key_of(uri)] = faults
            self._message_once(types.MessageType.Error, "\n".join(one["message"] for one in faults))
        elif self._faults.pop(key_of(uri), None) is None and not self._faulty_files:
            return
        by_file: dict[str, dict[str, dict[str, Any]]] = {}
        for fault in chain.from_iterable(self._faults.values()):
            file = _file_of(fault)
            if file is not None and self.document(file) is None:
                by_file.setdefault(file, {})[fault["message"]] = fault
        for file in sorted(self._faulty_files | by_file.keys()):
            found = by_file.get(file, {}).values()
            self._publish(file, None, [convert.fault_diagnostic(one) for one in found])
        self._faulty_files = set(by_file)
        if not self._faults:
            self._messages.clear()

    def _message_once(self, kind: types.MessageType, words: str) -> None:
        if words not in self._messages:
            self._messages.add(words)
            self.window_show_message(types.ShowMessageParams(kind, words))

    # Questions -------------------------------------------------------------------------------

    async def hover_answer(self, document: TextDocument, offset: int) -> dict[str, Any] | None:
        """Returns what the prover knows of a place; by order alone where that takes too long."""
        version = document.version
        if len(document.source) <= TOO_LONG:
            with suppress(PanellintError, TimeoutError):
                hovering = self.prover.hover(self.question(document, quick=False), offset)
                answer = await asyncio.wait_for(hovering, HOVER_WAITS)
                return answer if self.is_current(document.uri, version) else None
        if len(document.source) <= LONG and self.is_current(document.uri, version):
            return self.answers.hover(self.question(document, quick=True), offset)
        return None

    def diagnostics_in(self, uri: str, wanted: types.Range) -> Iterable[types.Diagnostic]:
        """Returns the diagnostics that touch a range, where they are about the newest version."""
        shown = self.shown.get(key_of(uri))
        if shown is None or not self.is_current(uri, shown.version):
            return []
        return [
            diagnostic
            for diagnostic in shown.diagnostics
            if _order(diagnostic.range.start) <= _order(wanted.end)
            and _order(wanted.start) <= _order(diagnostic.range.end)
        ]

    # Watching --------------------------------------------------------------------------------

    def watch_settings(self) -> None:
        """Asks the client, if it can, to say when settings or packs change on disk."""
        workspace = self.client_capabilities.workspace
        watching = workspace.did_change_watched_files if workspace else None
        if watching is None or not watching.dynamic_registration:
            return
        watched = ("**/*.yaml", "**/*.yml", f"**/{IGNORE_FILE}")
        watchers = [types.FileSystemWatcher(pattern) for pattern in watched]
        self.client_register_capability(
            types.RegistrationParams(
                [
                    types.Registration(
                        "settings",
                        types.WORKSPACE_DID_CHANGE_WATCHED_FILES,
                        types.DidChangeWatchedFilesRegistrationOptions(watchers),
                    )
                ]
            )
        )

    def settings_changed(self) -> None:
        """Reads settings and packs anew, and checks every open label."""
        settings.forget()
        self.check_all()


def key_of(uri: str) -> str:
    """Returns one key for a document, however a client escapes its URI: `c:` and `c%3A`, a space
    and `%20` are the same, and so is the case of a drive."""
    key = unquote(uri)
    drive = key.startswith("file:///") and key[9:10] == ":"
    return f"file:///{key[8].lower()}{key[9:]}" if drive else key


def _file_of(fault: dict[str, Any]) -> str | None:
    """Returns the URI of the file at fault; None where there is no such file."""
    path = Path(fault["path"])
    return path.absolute().as_uri() if path.is_file() else None


def _order(position: types.Position) -> tuple[int, int]:
    return position.line, position.character
