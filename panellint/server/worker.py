"""The prover's process: reads questions from standard input, answers on standard output.

A message is its length in four bytes, highest first, and JSON of that length. When standard
input ends, whatever is being worked out is dropped and the process is gone: it never outlives
the server, however that one ended.
"""

import json
import os
import queue
import sys
import threading
from typing import Any, BinaryIO

from panellint.server.answers import Answers, Question


def main() -> None:
    """Answers until standard input ends."""
    questions, answers = sys.stdin.buffer, os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    # What a check of another package prints must not get between the answers.
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    waiting: queue.Queue[dict[str, Any]] = queue.Queue()
    threading.Thread(target=_read, args=(questions, waiting), daemon=True).start()
    answerer = Answers()
    while True:
        question = waiting.get()
        asked = Question(**question["asked"])
        answer = getattr(answerer, question["do"])(asked, **question["more"])
        body = json.dumps(answer).encode()
        try:
            answers.write(len(body).to_bytes(4, "big") + body)
            answers.flush()
        except OSError:
            os._exit(0)


def _read(stream: BinaryIO, waiting: queue.Queue[dict[str, Any]]) -> None:
    while len(head := stream.read(4)) == 4:
        waiting.put(json.loads(stream.read(int.from_bytes(head, "big"))))
    os._exit(0)


if __name__ == "__main__":
    main()
