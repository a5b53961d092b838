"""Which labels changed since a git revision, and the policy of one: settings, packs and ingredients
that no stranger's change loosens."""

import os
import subprocess
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import NamedTuple

from panellint.core.errors import Fault, PanellintError
from panellint.core.files import relative
from panellint.lint.runner.files import STANDARD_INPUT
from panellint.rulepacks import settings
from panellint.rulepacks.settings import Settings


@dataclass(frozen=True, slots=True)
class Repository:
    """What git knows of one work tree; paths are real and absolute.

    `changed` differs from the revision, in the work tree or the index; `tracked` is known to
    git now. A file that is not tracked is new.
    """

    tracked: frozenset[str]
    changed: frozenset[str]

    def is_other(self, path: str) -> bool:
        """Returns whether a file is new, or other than it was."""
        real = os.path.realpath(path)
        return real in self.changed or real not in self.tracked

    def has_changed(self, path: str) -> bool:
        """Returns whether a label is other than it was, or is judged by other rules than it was."""
        real = os.path.realpath(path)
        if real in self.changed or real not in self.tracked:
            return True
        if any(str(folder / settings.FILE_NAME) in self.changed for folder in Path(real).parents):
            return True
        own = settings.Settings.for_path(path).own_files
        return any(os.path.realpath(file) in self.changed for file in own)


def changed_since(revision: str, paths: Iterable[str]) -> list[str]:
    """Returns those of the labels that changed since a revision, in the same order.

    New labels and standard input count as changed, and so do all labels below a settings file, or
    under a pack of one's own, that changed. Raises PanellintError where git or the revision is
    missing.
    """
    _repository.cache_clear()
    return [path for path in paths if path == STANDARD_INPUT or has_changed(revision, path)]


def work_tree(folder: str, what: str, named: str = "") -> str:
    """Returns the work tree that a folder lies in, real and absolute. Raises PanellintError where
    it lies in none; `what` was asked for begins the message."""
    top = _top(os.path.realpath(folder))
    if top is None:
        raise PanellintError(f"{what}: {named or folder} is in no git repository")
    return top


def archive_of(revision: str, top: str, endings: tuple[str, ...], what: str) -> bytes:
    """Returns a tar archive of the files of a revision with such endings; nothing where there are
    none. Raises PanellintError where git or the revision is missing."""
    commit = _commit(top, what, revision)
    listed = os.fsdecode(_run(top, what, "ls-tree", "-r", "-z", "--name-only", commit))
    names = [f":(literal){name}" for name in listed.split("\0") if name.endswith(endings)]
    return _run(top, what, "archive", "--format=tar", commit, "--", *names) if names else b""


def has_changed(revision: str, label: str, beside: Iterable[str] = ()) -> bool:
    """Returns whether a label, what judges it, or a file beside it differs from a revision.

    Raises PanellintError where git or the revision is missing, or the label is in no repository.
    """
    top = work_tree(os.path.dirname(os.path.realpath(label)), "--since", label)
    repository = _repository(top, revision)
    return any(
        repository.has_changed(path) if path == label else repository.is_other(path)
        for path in dict.fromkeys((label, *beside))
    )


@cache
def _top(folder: str) -> str | None:
    """Returns the work tree that a folder belongs to; found without git, which would be slow."""
    if os.path.lexists(os.path.join(folder, ".git")):
        return folder
    above = os.path.dirname(folder)
    return None if above == folder else _top(above)


@cache
def _repository(top: str, revision: str) -> Repository:
    commit = _commit(top, "--since", revision)
    names = ("diff", "--name-only", "--no-renames", "--no-ext-diff", "-z", commit)
    changed = os.fsdecode(_run(top, "--since", *names))
    tracked = os.fsdecode(_run(top, "--since", "ls-files", "-z"))
    return Repository(_paths(top, tracked), _paths(top, changed))


def _paths(top: str, listed: str) -> frozenset[str]:
    return frozenset(
        os.path.realpath(os.path.join(top, name)) for name in listed.split("\0") if name
    )


def content_at(revision: str, path: str) -> tuple[bytes, str]:
    """Returns a file as it was at a revision, and where in the work tree it belongs.

    `path` counts from the working folder, and where there is none of that name, from the top of the
    repository, as git itself has it. Raises PanellintError where git, the revision or the file is
    missing.
    """
    here = os.getcwd()
    top = _top(os.path.realpath(here))
    asked = f"{revision}:{path}"
    if top is None:
        raise PanellintError(f"{asked}: no such file, and {here} is in no git repository")
    try:
        return _run(here, asked, "show", "--no-ext-diff", f"{revision}:./{path}"), path
    except PanellintError:
        data = _run(top, asked, "show", "--no-ext-diff", asked)
        return data, os.path.join(top, path)


def _commit(top: str, what: str, revision: str) -> str:
    what = f"{what}: {revision} is no revision of this repository"
    asked = _run(top, what, "rev-parse", "--verify", "--end-of-options", f"{revision}^{{commit}}")
    return os.fsdecode(asked).strip()


def _run(folder: str, what: str, *arguments: str) -> bytes:
    """Returns what git prints; `what` it is asked for begins the message where it fails."""
    try:
        done = subprocess.run(
            ["git", "-C", folder, *arguments],
            capture_output=True,
            check=True,
            stdin=subprocess.DEVNULL,
        )
    except FileNotFoundError:
        raise PanellintError(f"{what}: git is not installed") from None
    except subprocess.CalledProcessError as error:
        message = os.fsdecode(error.stderr).strip().removeprefix("fatal: ")
        raise PanellintError(f"{what}: git {arguments[0]}: {message}") from None
    return done.stdout


OPTION = "--policy-from"


class Policy(NamedTuple):
    """Where settings are looked for in place of the work tree.

    `top` is the work tree, real and absolute; `folder` holds the YAML files of its revision at the
    same places. With `top` "" no settings count but the usual ones.
    """

    top: str = ""
    folder: str = ""
    revision: str = ""

    def settings(self, path: str) -> Settings:
        """Returns the settings for a label. Raises InputError where those of the revision are
        faulty, PanellintError where the label lies outside the work tree."""
        if not self.top:
            return Settings()
        place = relative(os.path.realpath("." if path == "-" else path), self.top)
        if place.startswith(os.pardir + os.sep) or place == os.pardir:
            raise PanellintError(f"{OPTION}: {path} lies outside {self.top}")
        return Settings.for_path(os.path.join(self.folder, place))

    def shown(self, fault: Fault) -> Fault:
        """Returns a fault with a file of the revision called what git calls it."""
        inside = self.folder + os.sep
        if not (self.folder and fault.path.startswith(inside)):
            return fault
        return fault._replace(path=f"{self.revision}:{fault.path.removeprefix(inside)}")


def policy_of(revision: str, folder: str) -> Policy:
    """Writes the YAML files of a revision into an empty folder, and returns the policy.

    Raises PanellintError where git or the revision is missing, or the working folder lies in no
    repository.
    """
    import tarfile
    from io import BytesIO

    top = work_tree(os.getcwd(), OPTION)
    # The folder is a repository of its own: no file of it may name one outside.
    (Path(folder) / ".git").mkdir()
    content = archive_of(revision, top, (".yaml", ".yml"), OPTION)
    if content:
        with tarfile.open(fileobj=BytesIO(content)) as archive:
            archive.extractall(folder, filter="data")
    return Policy(top, folder, revision)
