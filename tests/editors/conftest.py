"""What the tests of editors share."""

import sys

import pytest


@pytest.fixture
def command(tmp_path):
    """`panellint` as an editor finds it: a program that starts this very checkout."""
    path = tmp_path / "bin" / "panellint"
    path.parent.mkdir()
    path.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m panellint "$@"\n')
    path.chmod(0o755)
    return path
