import os
import resource
import signal
import stat
import subprocess
import sys

import pytest

from panellint.core.errors import InputError
from panellint.output.atomic_file import opened, write_whole


def _half(stream):
    stream.write("half")
    raise ZeroDivisionError


def test_a_file_is_whole_or_untouched(tmp_path):
    path = tmp_path / "out.json"
    path.write_text("before")
    with pytest.raises(ZeroDivisionError), opened(str(path)) as stream:
        _half(stream)
    assert path.read_text() == "before"
    assert [entry.name for entry in tmp_path.iterdir()] == ["out.json"]
    write_whole(str(path), "after\n")
    assert path.read_bytes() == b"after\n"
    assert [entry.name for entry in tmp_path.iterdir()] == ["out.json"]


def test_permissions_stay_and_a_new_file_gets_the_usual_ones(tmp_path):
    old, new, plain = tmp_path / "old", tmp_path / "new", tmp_path / "plain"
    old.write_text("")
    old.chmod(0o640)
    plain.write_text("")
    write_whole(str(old), "x")
    write_whole(str(new), "x")
    assert stat.S_IMODE(old.stat().st_mode) == 0o640
    assert stat.S_IMODE(new.stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)


def test_a_link_stays_a_link(tmp_path):
    target, link = tmp_path / "target", tmp_path / "link"
    target.write_text("before")
    link.symlink_to(target)
    write_whole(str(link), "after")
    assert link.is_symlink()
    assert target.read_text() == "after"


@pytest.mark.parametrize("name", ["nowhere/out.json", "folder"])
def test_a_place_that_cannot_be_written_is_told(tmp_path, name):
    (tmp_path / "folder").mkdir()
    with pytest.raises(InputError, match="cannot be written"), opened(str(tmp_path / name)):
        pass
    assert [entry.name for entry in tmp_path.iterdir()] == ["folder"]


def test_a_device_is_written_directly(tmp_path):
    write_whole("/dev/null", "x")
    assert stat.S_ISCHR(os.stat("/dev/null").st_mode)


def test_lone_surrogates_are_written_visibly(tmp_path):
    path = tmp_path / "out"
    write_whole(str(path), "duck \udc80 é\n")
    assert path.read_bytes() == b"duck \\udc80 \xc3\xa9\n"


def test_a_file_has_no_name_until_it_is_whole(tmp_path):
    """So a process that is killed at any moment leaves nothing behind."""
    path = tmp_path / "out"
    with opened(str(path)) as stream:
        stream.write("x" * 100_000)
        assert list(tmp_path.iterdir()) == []
    assert path.read_text() == "x" * 100_000


@pytest.mark.parametrize("size", [1000, 100_000])
def test_a_full_disk_is_said_with_the_name_of_the_file(tmp_path, size):
    path = tmp_path / "out"
    path.write_text("before")
    script = (
        "from panellint.core.errors import InputError\n"
        "from panellint.output.atomic_file import write_whole\n"
        f"try:\n    write_whole({str(path)!r}, 'x' * {size})\n"
        "except InputError as error:\n    print(error)\n"
    )

    def bounded() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (500, 500))

    given = {**os.environ, "PYTHONPATH": os.getcwd(), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        [sys.executable, "-c", script], env=given, preexec_fn=bounded, stdout=subprocess.PIPE
    )
    assert done.stdout.decode() == f"{path}: cannot be written: File too large\n"
    assert path.read_text() == "before"
    assert [entry.name for entry in tmp_path.iterdir()] == ["out"]
