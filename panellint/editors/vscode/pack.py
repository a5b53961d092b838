"""Packs the extension: `python -m panellint.editors.vscode.pack panellint.vsix`.

A .vsix is a zip in the Open Packaging Conventions: the extension below `extension/`, a manifest,
and the types of its files.
"""

import json
import sys
import zipfile
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape, quoteattr

HERE = Path(__file__).parent
#: Date of every entry, so that the same files give the same bytes.
_WHEN = (2026, 1, 1, 0, 0, 0)
_TYPES = {".json": "application/json", ".js": "application/javascript", ".md": "text/markdown"}
_README = (
    "Lints dog and cat food labels as they are typed. Needs `pip install 'panellint[editor]'`.\n"
)


def pack(target: Path) -> list[str]:
    """Writes the package; returns the names in it. Raises OSError where it cannot be written."""
    package = json.loads((HERE / "package.json").read_text(encoding="utf-8"))
    files = {
        f"extension/{path.name}": path.read_bytes()
        for path in sorted(HERE.iterdir())
        if path.suffix in (".json", ".js")
    }
    files["extension/settings.schema.json"] = json.dumps(_schema(), indent=1).encode()
    files["extension/README.md"] = _README.encode()
    files["extension.vsixmanifest"] = _manifest(package).encode()
    files["[Content_Types].xml"] = _content_types().encode()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in sorted(files.items()):
            archive.writestr(zipfile.ZipInfo(name, _WHEN), data, zipfile.ZIP_DEFLATED)
    return sorted(files)


def _schema() -> dict[str, object]:
    from panellint.rulepacks.compile.models import settings_schema
    from panellint.rulepacks.settings import Settings

    return settings_schema(Settings().rules)


def _manifest(package: dict[str, Any]) -> str:
    identity = " ".join(
        f"{name}={quoteattr(str(package[key]))}"
        for name, key in (("Id", "name"), ("Version", "version"), ("Publisher", "publisher"))
    )
    engine = quoteattr(str(package["engines"]["vscode"]))
    return f"""<?xml version="1.0" encoding="utf-8"?>
<PackageManifest Version="2.0.0" xmlns="http://schemas.microsoft.com/developer/vsx-schema/2011">
 <Metadata>
  <Identity Language="en-US" {identity}/>
  <DisplayName>{escape(str(package["displayName"]))}</DisplayName>
  <Description xml:space="preserve">{escape(str(package["description"]))}</Description>
  <Categories>{escape(",".join(map(str, package["categories"])))}</Categories>
  <Properties>
   <Property Id="Microsoft.VisualStudio.Code.Engine" Value={engine}/>
  </Properties>
 </Metadata>
 <Installation><InstallationTarget Id="Microsoft.VisualStudio.Code"/></Installation>
 <Dependencies/>
 <Assets>
  <Asset Type="Microsoft.VisualStudio.Code.Manifest" Path="extension/package.json"
   Addressable="true"/>
  <Asset Type="Microsoft.VisualStudio.Services.Content.Details" Path="extension/README.md"
   Addressable="true"/>
 </Assets>
</PackageManifest>
"""


def _content_types() -> str:
    rows = "".join(
        f'<Default Extension="{suffix}" ContentType="{kind}"/>'
        for suffix, kind in sorted({**_TYPES, ".vsixmanifest": "text/xml"}.items())
    )
    space = "http://schemas.openxmlformats.org/package/2006/content-types"
    return f'<?xml version="1.0" encoding="utf-8"?>\n<Types xmlns="{space}">{rows}</Types>\n'


if __name__ == "__main__":
    [target] = sys.argv[1:] or ["panellint.vsix"]
    if not target.endswith(".vsix"):
        sys.exit("usage: python -m panellint.editors.vscode.pack [NAME.vsix]")
    print("\n".join(pack(Path(target))))
