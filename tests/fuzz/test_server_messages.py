"""Whatever a client sends: each request is answered once, and the server goes on."""

from __future__ import annotations

import io
import json
import os
import random
import subprocess
import sys
from pathlib import Path
from typing import Any, BinaryIO

import pytest

from .texts import text_of

#: Servers of the long run, each with so many messages.
SERVERS = int(os.environ.get("PANELLINT_FUZZ_SERVERS", "50"))
MESSAGES = 1000
URIS = ("a.panel", "p%C3%A2t%C3%A9.panel", "panellint.yaml", "b c.panel")
PLACES = (0, 1, 3, 10**9, 2**31 - 1)
#: What may stand where something else is expected.
JUNK: tuple[Any, ...] = (
    *(None, True, -1, 10**30, 1.5, "", "file:///", "%ZZ", "\ud800", "x" * 5000),
    *([], {}, [[]], {"uri": 1}),
)
QUESTIONS = (
    "hover completion definition documentHighlight documentSymbol foldingRange codeLens inlayHint"
    " codeAction formatting documentLink diagnostic semanticTokens/full"
).split()


def content(chance: random.Random, seed: int, folder: Path) -> dict[str, Any]:
    """A message that a client may send, with its parameters as they should be."""
    uri = f"{folder.as_uri()}/{chance.choice(URIS)}"
    text = {"uri": uri, "languageId": "panel", "version": chance.choice(PLACES)}
    document = {"uri": uri}
    kind = chance.randrange(6)
    if kind == 0:
        whole = {"textDocument": {**text, "text": text_of(seed)}}
        return {"method": "textDocument/didOpen", "params": whole}
    if kind == 1:
        changes = [{"text": text_of(seed)}] * chance.choice((0, 1, 1, 3))
        changed = {"textDocument": text, "contentChanges": changes}
        return {"method": "textDocument/didChange", "params": changed}
    if kind == 2:
        method = chance.choice(("didClose", "didSave"))
        return {"method": f"textDocument/{method}", "params": {"textDocument": document}}
    if kind == 3:
        method, params = chance.choice(
            (
                ("workspace/didChangeConfiguration", {"settings": {"panellint": {"market": "eu"}}}),
                ("workspace/didChangeWatchedFiles", {"changes": [{"uri": uri, "type": 2}]}),
                ("$/cancelRequest", {"id": seed - 1}),
                ("$/setTrace", {"value": "off"}),
                ("no/such", {}),
            )
        )
        return {"method": method, "params": params}
    start, end = (
        {"line": chance.choice(PLACES), "character": chance.choice(PLACES)} for _ in range(2)
    )
    params = {
        "textDocument": document,
        "position": start,
        "range": {"start": start, "end": end},
        "context": {"diagnostics": []},
        "options": {"tabSize": 2, "insertSpaces": True},
    }
    method = f"textDocument/{chance.choice(QUESTIONS)}"
    return {"method": method, "params": params, "id": seed}


def spoilt(value: Any, chance: random.Random) -> Any:
    """A value with one part of it gone, or another in its place."""
    if isinstance(value, dict) and value and chance.random() < 0.8:
        key = chance.choice(sorted(value))
        if chance.random() < 0.2:
            return {one: value[one] for one in value if one != key}
        return {**value, key: spoilt(value[key], chance)}
    return chance.choice(JUNK)


def sent(message: Any) -> bytes:
    body = json.dumps(message).encode()
    return b"Content-Length: %d\r\n\r\n%b" % (len(body), body)


def answers(stream: BinaryIO) -> dict[Any, int]:
    """How often each id was answered, up to the end of what the server says."""
    found: dict[Any, int] = {}
    while line := stream.readline():
        length = int(line.partition(b":")[2])
        while stream.readline().strip():
            pass
        message = json.loads(stream.read(length))
        if "method" not in message:
            key = json.dumps(message.get("id"))
            found[key] = found.get(key, 0) + 1
    return found


def talk(first: int, count: int, folder: Path) -> None:
    """Sends so many messages to one server, a third of them spoilt, and asks whether it is there
    still."""
    capabilities = {"textDocument": {"documentSymbol": {"hierarchicalDocumentSymbolSupport": True}}}
    start = {"processId": None, "rootUri": folder.as_uri(), "capabilities": capabilities}
    messages = [
        {"method": "initialize", "params": start, "id": -1},
        {"method": "initialized", "params": {}},
    ]
    for seed in range(first, first + count):
        chance = random.Random(seed)
        message = content(chance, seed, folder)
        if chance.random() < 0.33:
            message["params"] = spoilt(message["params"], chance)
        messages.append(message)
    messages += [{"method": "shutdown", "id": -2}, {"method": "exit"}]
    wanted = [json.dumps(one["id"]) for one in messages if "id" in one]
    server = subprocess.Popen(
        [sys.executable, "-m", "panellint", "serve"],
        cwd=folder,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=(folder / "log").open("wb"),
    )
    out = b"".join(sent({"jsonrpc": "2.0", **one}) for one in messages)
    assert server.stdin is not None
    (folder / "sent").write_bytes(out)
    reading, _ = server.communicate(out, timeout=600)
    found = answers(io.BytesIO(reading))
    assert server.returncode == 0, (first, (folder / "log").read_text()[-2000:])
    missing = [one for one in wanted if found.get(one) != 1]
    assert not missing, (first, missing)


def test_every_request_is_answered_once(tmp_path: Path) -> None:
    talk(0, 150, tmp_path)


@pytest.mark.long
@pytest.mark.parametrize("number", range(SERVERS))
def test_every_request_of_a_long_run_is_answered_once(tmp_path: Path, number: int) -> None:
    talk(1000 + number * MESSAGES, MESSAGES, tmp_path)
