"""The policy of a revision: settings, packs and ingredients that no stranger's change loosens."""

import os
from pathlib import Path
from typing import NamedTuple

from panellint.core.errors import Fault, PanellintError
from panellint.core.files import relative
from panellint.lint.runner.git import archive_of, work_tree
from panellint.rulepacks.settings import Settings

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
            return Settings.default()
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
