from xml.etree import ElementTree

from panellint.core.errors import Fault
from panellint.core.findings import FileFindings, Severity
from panellint.core.source import Source, Span
from panellint.lint.runner.results import Checked
from panellint.output.findings import junit
from panellint.output.render_options import RenderOptions


def told(*stream):
    text = "".join(junit.write(iter(stream), RenderOptions()))
    assert text.isascii()
    return ElementTree.fromstring(text)


def test_a_suite_for_each_file_and_a_case_for_each_finding(checked, clean):
    root = told(checked, clean)
    first, second = root
    assert first.attrib == {
        "name": "labels/duck.panel",
        "tests": "3",
        "failures": "2",
        "errors": "0",
        "skipped": "0",
    }
    assert [context.get("name") for context in first] == [
        "name-quarter-share 1:24",
        "split-family 2:27",
        "salt-late 3:3",
    ]
    failure = first[0].find("failure")
    assert failure.get("type") == "error"
    assert failure.get("message") == "Duck can be at most 20 % of this {food}."
    assert "labels/duck.panel:1:24: error:" in failure.text
    # Milder than the severity that fails the run: told, and passed.
    assert first[2].find("failure") is None
    assert "Salt stands last." in first[2].find("system-out").text
    assert [context.get("name") for context in second] == ["clean"]
    assert second.get("failures") == "0"


def test_the_counts_are_those_of_the_cases(checked):
    for fail_at in (*Severity, None):
        [suite] = told(checked._replace(fail_at=fail_at))
        assert int(suite.get("failures")) == len(suite.findall("testcase/failure"))
        assert int(suite.get("tests")) == len(suite.findall("testcase"))


def test_an_unusable_file_is_an_error():
    broken = Checked("x.panel", faults=(Fault("x.panel", 1, 2, "not text"),))
    [suite] = told(broken)
    assert suite.get("errors") == "1"
    assert suite.find("testcase/error").get("message") == "x.panel:1:2: not text"


def test_what_xml_cannot_hold_is_replaced(findings):
    source = Source("\x00\x1b\udc80\ufffe", 'a\x01&<>".panel')
    finding = findings[1]._replace(span=Span(0, 1), message="\x00\x1b\udc80\ufffe & <b> ]]> 🦆")
    [suite] = told(Checked(source.path, FileFindings(source, (finding,))))
    assert suite.get("name") == 'a\ufffd&<>".panel'
    assert suite.find("testcase/failure").get("message") == "\ufffd\ufffd\ufffd\ufffd & <b> ]]> 🦆"
