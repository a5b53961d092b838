"""The server as the Language Server Protocol sees it.

Diagnostics of the fast rules go out with each change; those of all rules when typing has
paused, worked out in the prover's process. Nothing goes out for a version of a document that
is no longer the newest.
"""

import asyncio
import os
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
from panellint.core.errors import InputError, PanellintError
from panellint.core.source import read
from panellint.lint.runner.files import IGNORE_FILE
from panellint.rulepacks import settings
from panellint.server import convert
from panellint.server.answers import Answers, Question, fault_data
from panellint.server.protocol import Protocol
from panellint.server.prover import Prover

#: Seconds without a change before the fast rules run anew, and before the prover is asked.
DEBOUNCE = 0.05
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
        self.market: str | None = None
        self._asked_for: set[str] = set()
        self._margins: dict[str, asyncio.Future[dict[str, Any] | None]] = {}
        self._pending: dict[str, asyncio.Task[None]] = {}
        self._faults: dict[str, list[dict[str, Any]]] = {}
        self._faulty_files: set[str] = set()
        self._messages: set[str] = set()

    @property
    def exit_status(self) -> int:
        """Returns how the process ends: 1 where the client left without `shutdown`."""
        return cast(Protocol, self.protocol).exit_status

    def document(self, uri: str) -> TextDocument | None:
        """Returns an open label; None for what is closed, and for settings and packs."""
        key = key_of(uri)
        if key.endswith((".yaml", ".yml")):
            return None
        return next((row for row in self.documents() if key_of(row.uri) == key), None)

    def documents(self) -> list[TextDocument]:
        """Returns all that the client has open, under the URI that it gave each."""
        return list(self.workspace.text_documents.values())

    def question(self, document: TextDocument, quick: bool) -> Question:
        """Returns the question that a document puts."""
        path = document.path if document.uri.startswith("file:") else ""
        if not path and self.workspace.root_path:
            path = str(Path(self.workspace.root_path) / "untitled")
        return self._question(document.source, path or "-", document.uri, quick)

    def _question(self, text: str, path: str, uri: str, quick: bool) -> Question:
        encoding = self.workspace.position_encoding or types.PositionEncodingKind.Utf16
        counted = str(getattr(encoding, "value", encoding))
        return Question(text, path, uri, counted, quick, self.market)

    def configure(self, given: Any) -> None:
        """Takes over what the client's own settings say: `panellint.market`."""
        own = given.get("panellint", given) if isinstance(given, dict) else None
        market = own.get("market") if isinstance(own, dict) else None
        self.market = market if market in settings.markets() else None

    def is_current(self, uri: str, version: int | None) -> bool:
        """Returns whether a version is still the newest of an open document."""
        document = self.document(uri)
        return document is not None and document.version == version

    def check(self, uri: str, pause: float) -> None:
        """Publishes what the fast rules find, and what the others find after a pause. While typing
        goes on, neither runs for each key."""
        self.leave(uri)
        document = self.document(uri)
        if document is None:
            return
        loop = asyncio.get_running_loop()
        self._margins[key_of(uri)] = loop.create_future()
        if not pause:
            self._look_at(document)
        self._pending[key_of(uri)] = loop.create_task(self._prove(document, pause))

    def _look_at(self, document: TextDocument) -> None:
        if len(document.source) <= LONG:
            self._show(document, self.answers.lint(self.question(document, quick=True)))

    def check_all(self) -> None:
        """Checks every open label anew, as when settings or a pack changed."""
        for document in self.documents():
            self.check(document.uri, 0)

    def leave(self, uri: str) -> None:
        """Gives up what is being worked out for a document."""
        task = self._pending.pop(key_of(uri), None)
        if task is not None:
            task.cancel()
        margin = self._margins.pop(key_of(uri), None)
        if margin is not None and not margin.done():
            margin.set_result(None)

    def close(self, uri: str) -> None:
        """Takes back what was published of a document."""
        self._asked_for.discard(key_of(uri))
        self.leave(uri)
        if self.shown.pop(key_of(uri), None) is not None:
            self._publish(uri, None, [])
        self._publish_faults(uri, [])

    async def _prove(self, document: TextDocument, pause: float) -> None:
        uri, version, length = document.uri, document.version, len(document.source)
        margin = self._margins[key_of(uri)]
        try:
            if pause:
                await asyncio.sleep(DEBOUNCE)
                self._look_at(document)
                await asyncio.sleep(pause - DEBOUNCE)
            for quick in (True, False) if length > LONG else (False,):
                if length > TOO_LONG and not quick:
                    self._message_once(
                        types.MessageType.Info,
                        f"{document.filename}: too long for all rules to run in an editor; "
                        "panellint lint runs them",
                    )
                    return
                answer = await self.prover.ask("lint", self.question(document, quick))
                if not self.is_current(uri, version):
                    return
                self._show(document, answer)
            answer = await self.prover.ask("margin", self.question(document, quick=False))
            if not margin.done():
                margin.set_result(answer)
        except PanellintError:
            return  # the process ended; the next change starts another
        finally:
            if not margin.done():
                margin.set_result(None)

    async def margin(self, uri: str) -> dict[str, Any] | None:
        """Returns hints and lenses of the newest version, once they are worked out; None where
        there are none, or the text changed meanwhile."""
        waiting = self._margins.get(key_of(uri))
        return await asyncio.shield(waiting) if waiting is not None else None

    async def report(self, uri: str) -> list[types.Diagnostic]:
        """Returns what is known of an open label, for a client that asks for diagnostics; from
        then on they are not published to it. A client that cannot be told to ask again gets all at
        once."""
        document = self.document(uri)
        if document is None:
            return []
        if key_of(uri) not in self._asked_for:
            self._asked_for.add(key_of(uri))
            super().text_document_publish_diagnostics(types.PublishDiagnosticsParams(uri, []))
        if not self._can_refresh("diagnostics"):
            await self.margin(uri)
        shown = self.shown.get(key_of(uri))
        if shown is None or shown.version != document.version:
            self._look_at(document)
            shown = self.shown.get(key_of(uri))
        return shown.diagnostics if shown else []

    async def report_file(self, path: str) -> list[types.Diagnostic]:
        """Returns the diagnostics of a label on the disk."""
        uri = Path(path).absolute().as_uri()
        try:
            question = self._question(read(path).text, path, uri, quick=False)
            return _diagnostics(await self.prover.ask("lint", question), uri)
        except InputError as error:
            return [convert.fault_diagnostic(fault) for fault in map(fault_data, error.faults)]

    def _can_refresh(self, what: str) -> bool:
        able = getattr(self.client_capabilities.workspace, what, None)
        return bool(able and able.refresh_support)

    def _show(self, document: TextDocument, answer: dict[str, Any]) -> None:
        diagnostics = _diagnostics(answer, document.uri)
        self.shown[key_of(document.uri)] = Shown(document.version, diagnostics)
        self._publish(document.uri, document.version, diagnostics)
        self._publish_faults(document.uri, answer["faults"])

    def _publish(self, uri: str, version: int | None, diagnostics: list[types.Diagnostic]) -> None:
        if key_of(uri) in self._asked_for and self.document(uri) is not None:
            if self._can_refresh("diagnostics"):
                self.workspace_diagnostic_refresh(None)
            return
        self.text_document_publish_diagnostics(
            types.PublishDiagnosticsParams(uri, diagnostics, version=version)
        )

    def _publish_faults(self, uri: str, faults: list[dict[str, Any]]) -> None:
        """Marks faults of settings and packs in their own files too, while there are any."""
        if faults:
            self._faults[key_of(uri)] = faults
            self._message_once(
                types.MessageType.Error, "\n".join(fault["message"] for fault in faults)
            )
        elif self._faults.pop(key_of(uri), None) is None and not self._faulty_files:
            return
        by_file: dict[str, dict[str, dict[str, Any]]] = {}
        for fault in chain.from_iterable(self._faults.values()):
            file = _file_of(fault)
            if file is not None and self.document(file) is None:
                by_file.setdefault(file, {})[fault["message"]] = fault
        for file in sorted(self._faulty_files | by_file.keys()):
            own_faults = by_file.get(file, {}).values()
            self._publish(file, None, list(map(convert.fault_diagnostic, own_faults)))
        self._faulty_files = set(by_file)
        if not self._faults:
            self._messages.clear()

    def _message_once(self, kind: types.MessageType, words: str) -> None:
        if words not in self._messages:
            self._messages.add(words)
            self.window_show_message(types.ShowMessageParams(kind, words))

    async def hover_answer(self, document: TextDocument, offset: int) -> dict[str, Any] | None:
        """Returns what the prover knows of a place; by order alone where that takes too long."""
        version = document.version
        if len(document.source) <= TOO_LONG:
            with suppress(PanellintError, TimeoutError):
                question = self.question(document, quick=False)
                hovering = self.prover.ask("hover", question, offset=offset)
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
        start, end = _order(wanted.start), _order(wanted.end)
        rows = ((row, row.range) for row in shown.diagnostics)
        return [row for row, at in rows if _order(at.start) <= end and start <= _order(at.end)]

    def watch_settings(self) -> None:
        """Asks the client, if it can, to say when settings or packs change on disk."""
        workspace = self.client_capabilities.workspace
        watching = workspace.did_change_watched_files if workspace else None
        if watching is None or not watching.dynamic_registration:
            return
        watched = ("**/*.yaml", "**/*.yml", f"**/{IGNORE_FILE}")
        watchers = [types.FileSystemWatcher(pattern) for pattern in watched]
        options = types.DidChangeWatchedFilesRegistrationOptions(watchers)
        changes = types.WORKSPACE_DID_CHANGE_WATCHED_FILES
        asked = types.Registration("settings", changes, options)
        self.client_register_capability(types.RegistrationParams([asked]))

    def settings_changed(self) -> None:
        """Reads settings and packs anew, and checks every open label."""
        settings.forget()
        self.check_all()
        if self._can_refresh("inlay_hint"):
            self.workspace_inlay_hint_refresh(None)
        if self._can_refresh("code_lens"):
            self.workspace_code_lens_refresh(None)


def key_of(uri: str) -> str:
    """Returns one key for a document, however a client escapes its URI: `c:` and `c%3A`, a space
    and `%20` are the same, and so is the case of a drive."""
    key = unquote(uri)
    drive = key.startswith("file:///") and key[9:10] == ":"
    return f"file:///{key[8].lower()}{key[9:]}" if drive else key


def _diagnostics(answer: dict[str, Any], uri: str) -> list[types.Diagnostic]:
    """Returns the diagnostics of an answer, and what kept a label from being linted."""
    return convert.diagnostics(answer["diagnostics"]) + [
        convert.fault_diagnostic(fault, _file_of(fault) or uri) for fault in answer["faults"]
    ]


def _file_of(fault: dict[str, Any]) -> str | None:
    """Returns the URI of the file at fault; None where there is no such file."""
    path = Path(fault["path"])
    return path.absolute().as_uri() if os.path.isfile(path) else None


def _order(position: types.Position) -> tuple[int, int]:
    return position.line, position.character
