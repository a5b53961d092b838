"""Proofs in PDF and DOCX: each page or table a label, with page and line in the findings."""

import json

import pytest
from click.testing import CliRunner
from docx import Document

from panellint.cli import cli

ONE = ["Product name: Duck Dinner", "Ingredients: duck, flaxsed, salt"]
TWO = ["Product name: Beef Dinner", "Ingredients: beef, rice", "Crude fat (min) 5 %"]


def invoke(*arguments: str):
    return CliRunner().invoke(cli, ["lint", "--quick", *arguments])


def pdf(*pages: list[str]) -> bytes:
    """A PDF of pages with lines of text, written by hand (PDF 1.4, ISO 32000)."""
    kids = " ".join(f"{4 + 2 * n} 0 R" for n in range(len(pages)))
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        f"<< /Type /Pages /Kids [{kids}] /Count {len(pages)} >>".encode(),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
    ]
    for number, lines in enumerate(pages):
        shown = "".join(
            f"({line.replace('(', chr(92) + '(').replace(')', chr(92) + ')')}) Tj T*\n"
            for line in lines
        )
        body = f"BT /F1 12 Tf 14 TL 50 700 Td\n{shown}ET".encode() if lines else b""
        objects.append(
            f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents {5 + 2 * number} 0 R "
            "/Resources << /Font << /F1 3 0 R >> >> >>".encode()
        )
        objects.append(b"<< /Length %d >>\nstream\n%b\nendstream" % (len(body), body))
    out, places = b"%PDF-1.4\n", []
    for number, one in enumerate(objects, start=1):
        places.append(len(out))
        out += b"%d 0 obj\n%b\nendobj\n" % (number, one)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    start = len(out)
    size = len(objects) + 1
    out += b"xref\n0 %d\n0000000000 65535 f \n%b" % (size, table)
    return out + b"trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (size, start)


@pytest.fixture(autouse=True)
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_each_page_is_a_label_and_one_without_text_is_said(here):
    (here / "proof.pdf").write_bytes(pdf(ONE, [], TWO))
    result = invoke("proof.pdf", "--format", "json")
    data = json.loads(result.stdout)
    assert [one["path"] for one in data["files"]] == ["proof.pdf#page=1", "proof.pdf#page=3"]
    misspelt = next(one for one in data["files"][0]["findings"] if one["rule"] == "misspelt-name")
    assert (misspelt["text"], misspelt["start"]["line"]) == ("flaxsed", 2)
    assert "proof.pdf#page=2: not read: no text layer" in result.stderr
    github = invoke("proof.pdf", "--format", "github", "--select", "misspelt-name").stdout
    assert github.startswith("::warning file=proof.pdf,line=2,")


def test_one_page_can_be_named_and_another_command_wants_one(here):
    (here / "proof.pdf").write_bytes(pdf(ONE, TWO))
    assert "beef" in CliRunner().invoke(cli, ["outline", "proof.pdf#page=2"]).stdout
    result = CliRunner().invoke(cli, ["outline", "proof.pdf"])
    assert result.exit_code == 2
    assert "proof.pdf#page=1 or proof.pdf#page=2" in result.output
    result = CliRunner().invoke(cli, ["outline", "proof.pdf#page=3"])
    assert result.exit_code == 2
    assert "no such page" in result.output


def test_each_table_of_a_document_is_a_label(here):
    document = Document()
    for line in ONE:
        document.add_paragraph(line)
    table = document.add_table(rows=0, cols=2)
    for line in TWO[:2]:
        heading, _, words = line.partition(": ")
        cells = table.add_row().cells
        cells[0].text, cells[1].text = heading, words
    document.save(str(here / "proof.docx"))
    data = json.loads(invoke("proof.docx", "--format", "json").stdout)
    assert [one["path"] for one in data["files"]] == ["proof.docx#text", "proof.docx#table=1"]
    shown = CliRunner().invoke(cli, ["outline", "proof.docx#table=1", "--format", "json"]).stdout
    assert [one["name"] for one in json.loads(shown)["declaration"]] == ["beef", "rice"]


@pytest.mark.parametrize(
    ("name", "content"),
    [("x.pdf", b"no pdf"), ("x.docx", b"PK no zip"), ("x.pdf", pdf([])), ("x.pdf", b"")],
)
def test_a_document_without_text_is_an_error_and_no_traceback(here, name, content):
    (here / name).write_bytes(content)
    result = invoke(name)
    assert result.exit_code == 2
    assert name in result.stderr
    assert "Traceback" not in result.output
    assert "defect" not in result.output


def test_a_document_is_never_corrected(here):
    (here / "proof.pdf").write_bytes(content := pdf(ONE))
    result = invoke("--fix", "proof.pdf")
    assert (here / "proof.pdf").read_bytes() == content
    assert "flaxsed" in result.stdout
