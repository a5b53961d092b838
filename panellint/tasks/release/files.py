"""The files that a label rests on, their digests, and whether any of them has changed."""

from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

from panellint.core.files import relative
from panellint.maker.model import Batch
from panellint.results.release import JudgedFile
from panellint.rulepacks import packs
from panellint.rulepacks.settings import Settings, settings_files


def judged_files(label: str, batch: Batch | None, settings: Settings) -> Iterator[JudgedFile]:
    """Yields the label, its sheet with those of its premixes and materials, and the settings, packs
    and ingredients of the user that reach it, each with its digest."""
    yield _file(label, "label")
    for path in batch.files if batch else ():
        yield _file(path, "sheet")
    for kind, paths in (
        ("settings", settings_files(label)),
        ("pack", settings.packs),
        ("ingredients", settings.ingredients),
    ):
        for name in paths:
            yield _file(relative(name), kind)


def _file(path: str, kind: str) -> JudgedFile:
    digest = sha256(Path(path).read_bytes()).hexdigest()
    return {"path": Path(path).as_posix(), "kind": kind, "sha256": digest}


def rules_digest() -> str:
    """Returns one digest of all rule packs of the program."""
    whole = sha256()
    for path in sorted(packs.pack_files()):
        whole.update(sha256(path.read_bytes()).digest())
    return whole.hexdigest()
