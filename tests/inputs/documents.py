"""Small whole documents of every kind that is taken, and the XML within them, for the campaign."""

from collections.abc import Sequence
from functools import cache

from tests.plan.taken.file_factories import calendar, docx, odf, paragraph, raw_workbook, word_table, zipped

_ODF_BODY = (
    "<text:list><text:list-item><text:p>Warm-up<text:tab/>5</text:p></text:list-item></text:list>"
    '<table:table table:name="Mon"><table:table-row table:number-rows-repeated="2">'
    '<table:table-cell table:number-columns-repeated="2"><text:p>Share<text:s text:c="2"/>3</text:p>'
    "</table:table-cell></table:table-row></table:table>"
)
_ROWS = (
    '<row r="1"><c r="A1" t="inlineStr"><is><t>Warm-up</t></is></c><c r="B1" s="1"><v>0.5</v></c></row>'
    '<row r="4"><c r="A4" t="str"><v>Share</v></c><c r="C4"><v>3</v></c></row>'
)
_RTF = (
    rb"{\rtf1\ansi\ansicpg1252{\fonttbl{\f0 Plain;}}{\listtext 1.\tab}Warm-up 5\par{\strike Old 4}\par"
    rb"\trowd\intbl Model\par twice\cell 7\cell\row\pard \u214\'d6ffnen {\*\other x}{\pict 0a0b}\par}"
)
_PAGE = (
    b"<html><head><meta charset=utf-8><style>p{}</style></head><body>"
    b"<p style='mso-list:l0 level2'>1.&nbsp;Talk</p><ol start=2><li>Warm-up 5<ul><li>clap</ul></ol>"
    b"<table><tr><th rowspan=2>Model<td colspan=2>7<tr><td>8</table>"
    b"<p><s>Old</s> New<br>Share 3</body></html>"
)
_CALENDAR = calendar(
    "DTSTART:20261201T090000\r\nDTEND:20261201T091000\r\nSUMMARY:Warm-up",
    "DTSTART;VALUE=DATE:20261202\r\nRRULE:FREQ=WEEKLY;COUNT=4\r\nSUMMARY:Early release",
)


@cache
def documents() -> Sequence[bytes]:
    """Files as they lie on a disk."""
    body = paragraph("Warm-up 5", number=1) + word_table([["Model", "7"], ["Share", "3"]])
    return (
        docx(body), odf(f"<office:text>{_ODF_BODY}</office:text>"),
        odf(f"<office:spreadsheet>{_ODF_BODY}</office:spreadsheet>"), raw_workbook(_ROWS), _RTF, _PAGE,
        _CALENDAR, b"Phase,Min\r\n\"Model, twice\",7\r\nShare;3\r\n", "Wärme 5\nModel 7\n".encode("utf-16"),
    )  # fmt: skip


@cache
def xml_of_documents() -> Sequence[bytes]:
    """The bodies of documents alone."""
    body = (
        paragraph("Warm-up 5", number=1) + paragraph("Old", run="<w:strike/>") + word_table([["Model", "7"]])
    )
    return body.encode(), _ODF_BODY.encode(), _ROWS.encode()


def wrapped(xml: bytes) -> bytes:
    """A whole archive around the XML of a body."""
    text = xml.decode("utf-8", "replace")
    if "w:" in text:
        return docx(text)
    if "text:" in text or "table:" in text:
        return odf(f"<office:text>{text}</office:text>")
    return raw_workbook(text) if len(xml) > 3 else zipped({"content.xml": xml})
