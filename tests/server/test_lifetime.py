"""A server ends with its client, and so does the process behind it, however the client went."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

SLOW = (
    "Ingredients: "
    + "duck, millet, hemp seed, pumpkin, dried egg, salt, " * 100
    + "salt.\n"
    + ("Guaranteed analysis: crude protein (min) 26%, crude fat (min) 14%, moisture (max) 8%\n")
)
PATIENCE = 120


def message(method: str, params: dict, **more) -> bytes:
    body = json.dumps({"jsonrpc": "2.0", "method": method, "params": params, **more}).encode()
    return b"Content-Length: %d\r\n\r\n%b" % (len(body), body)


def children(pid: int) -> set[int]:
    """The processes that have this one as parent; from /proc, as Linux has it."""
    found = set()
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(fields[1]) == pid and fields[0] != "Z":
            found.add(int(stat.parent.name))
    return found


def alive(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def until(holds):
    end = time.monotonic() + PATIENCE
    while not (found := holds()):
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.02)
    return found


@pytest.fixture
def working(tmp_path):
    """A server whose prover is in the middle of long work."""
    server = subprocess.Popen(
        [sys.executable, "-m", "panellint", "serve"],
        cwd=tmp_path,
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    params = {"processId": None, "rootUri": tmp_path.as_uri(), "capabilities": {}}
    document = {"uri": f"{tmp_path.as_uri()}/x.panel", "languageId": "panel", "version": 1}
    server.stdin.write(message("initialize", params, id=1))
    server.stdin.write(message("initialized", {}))
    server.stdin.write(
        message("textDocument/didOpen", {"textDocument": {**document, "text": SLOW}})
    )
    server.stdin.flush()
    prover = until(lambda: children(server.pid)).pop()
    assert alive(prover)
    yield server, prover
    server.kill()
    server.wait()
    server.stdin.close()


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks at /proc")
@pytest.mark.parametrize("how", ["stdin closed", "killed", "terminated", "exit"])
def test_no_process_outlives_the_client(working, how):
    server, prover = working
    if how == "killed":
        server.kill()
    elif how == "terminated":
        server.send_signal(signal.SIGTERM)
    elif how == "exit":
        server.stdin.write(message("exit", {}))
        server.stdin.flush()
    if how != "exit":
        server.stdin.close()
    assert server.wait(PATIENCE) is not None
    until(lambda: not alive(prover))


def replies(folder: Path, *messages: bytes) -> tuple[dict[object, dict], int]:
    """What a server answers to messages, by id, and its exit status."""
    done = subprocess.run(
        [sys.executable, "-m", "panellint", "serve"],
        cwd=folder,
        input=b"".join(messages),
        capture_output=True,
        timeout=PATIENCE,
    )
    bodies = [part.rpartition(b"}")[0] + b"}" for part in done.stdout.split(b"\r\n\r\n")[1:]]
    answers = [json.loads(body) for body in bodies]
    return {one["id"]: one for one in answers if "id" in one}, done.returncode


START = {"processId": None, "rootUri": None, "capabilities": {}}


def test_errors_and_exit_status_are_those_of_the_protocol(tmp_path):
    hover = {"textDocument": {"uri": "file:///x.panel"}, "position": {"line": 0, "character": 0}}
    answers, status = replies(
        tmp_path,
        message("textDocument/hover", hover, id=1),
        message("initialize", START, id=2),
        message("initialized", {}),
        message("textDocument/hover", {"position": 7}, id=3),
        message("textDocument/nothing", {}, id=4),
        message("shutdown", None, id=5),
        message("textDocument/hover", hover, id=6),
        message("exit", None),
    )
    assert answers[1]["error"]["code"] == -32002
    assert "capabilities" in answers[2]["result"]
    assert answers[3]["error"]["code"] == -32602
    assert answers[4]["error"]["code"] == -32601
    assert answers[5]["result"] is None
    assert answers[6]["error"]["code"] == -32600
    assert status == 0


def test_exit_without_shutdown_is_no_success(tmp_path):
    _, status = replies(tmp_path, message("initialize", START, id=1), message("exit", None))
    assert status == 1


def test_rubbish_on_standard_input_is_survived(tmp_path):
    params = {"processId": None, "rootUri": None, "capabilities": {}}
    done = subprocess.run(
        [sys.executable, "-m", "panellint", "serve"],
        cwd=tmp_path,
        input=b"Content-Length: 5\r\n\r\n{{{{{" + message("initialize", params, id=1),
        capture_output=True,
        timeout=PATIENCE,
    )
    assert b'"serverInfo"' in done.stdout
    assert done.returncode == 0


def test_without_pygls_it_says_what_to_install(tmp_path):
    (tmp_path / "pygls.py").write_text("raise ImportError('No module named pygls')\n")
    done = subprocess.run(
        [sys.executable, "-m", "panellint", "serve"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(tmp_path)},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=PATIENCE,
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert "panellint[editor]" in done.stderr
    assert "Traceback" not in done.stderr
