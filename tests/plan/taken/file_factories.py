"""Makes files as other programs write them, small and whole, for the readers of what a teacher has."""

import io
import zipfile
from collections.abc import Mapping, Sequence

W = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
_ODF = "urn:oasis:names:tc:opendocument:xmlns:"
_ODF_NAMES = "".join(
    f' xmlns:{name}="{_ODF}{name}:1.0"' for name in ("office", "text", "table", "style", "draw")
)
NUMBERING = (
    f'<w:numbering xmlns:w="{W}"><w:abstractNum w:abstractNumId="0">'
    '<w:lvl w:ilvl="0"><w:start w:val="1"/><w:numFmt w:val="decimal"/><w:lvlText w:val="%1."/></w:lvl>'
    '<w:lvl w:ilvl="1"><w:start w:val="1"/><w:numFmt w:val="lowerLetter"/><w:lvlText w:val="%2)"/></w:lvl>'
    '</w:abstractNum><w:abstractNum w:abstractNumId="1">'
    '<w:lvl w:ilvl="0"><w:numFmt w:val="bullet"/><w:lvlText w:val="x"/></w:lvl></w:abstractNum>'
    '<w:num w:numId="1"><w:abstractNumId w:val="0"/></w:num>'
    '<w:num w:numId="2"><w:abstractNumId w:val="1"/></w:num></w:numbering>'
)


def zipped(members: Mapping[str, str | bytes]) -> bytes:
    """An archive of members."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, of in members.items():
            archive.writestr(name, of)
    return held.getvalue()


def paragraph(text: str, *, number: int = 0, level: int = 0, run: str = "") -> str:
    """A paragraph of a .docx, of a list where ``number`` names one; ``run`` are properties of its text."""
    of_list = f'<w:numPr><w:ilvl w:val="{level}"/><w:numId w:val="{number}"/></w:numPr>' if number else ""
    pieces = text.replace("\t", "</w:t><w:tab/><w:t>")
    return f"<w:p><w:pPr>{of_list}</w:pPr><w:r><w:rPr>{run}</w:rPr><w:t>{pieces}</w:t></w:r></w:p>"


def word_table(rows: Sequence[Sequence[str]]) -> str:
    """A table of a .docx; a cell may be XML of paragraphs."""
    cells = (
        "".join(f"<w:tc>{cell if cell.startswith('<') else paragraph(cell)}</w:tc>" for cell in row)
        for row in rows
    )
    return f"<w:tbl><w:tblPr/>{''.join(f'<w:tr>{row}</w:tr>' for row in cells)}</w:tbl>"


def docx(body: str, more: Mapping[str, str | bytes] | None = None, head: str = "") -> bytes:
    """A .docx with a body in XML."""
    document = f'{head}<w:document xmlns:w="{W}"><w:body>{body}</w:body></w:document>'
    members = {"word/document.xml": document, "word/numbering.xml": NUMBERING}
    return zipped({"[Content_Types].xml": "<Types/>", **members, **(more or {})})


def odf(body: str, styles: str = "", more: Mapping[str, str | bytes] | None = None) -> bytes:
    """An OpenDocument file whose body is XML."""
    content = (
        f"<office:document-content{_ODF_NAMES}><office:automatic-styles>{styles}</office:automatic-styles>"
        f"<office:body>{body}</office:body></office:document-content>"
    )
    return zipped({"mimetype": "application/x", "content.xml": content} | dict(more or {}))


def workbook(sheets: Mapping[str, Sequence[Sequence[object]]]) -> bytes:
    """A .xlsx with sheets of rows."""
    import openpyxl

    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    held = io.BytesIO()
    book.save(held)
    return held.getvalue()


def raw_workbook(sheet: str, more: Mapping[str, str] | None = None, sheets: int = 1) -> bytes:
    """A .xlsx whose sheets are all the XML of the same rows, so that it may be as large as need be."""
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    package = "http://schemas.openxmlformats.org/package/2006/relationships"
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml"
    return zipped({
        "[Content_Types].xml": '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
        f'<Override PartName="/xl/workbook.xml" ContentType="{kind}.sheet.main+xml"/>'
        f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{kind}.worksheet+xml"/></Types>',
        "_rels/.rels": f'<Relationships xmlns="{package}"><Relationship Id="rId1"'
        f' Type="{office}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{main}" xmlns:r="{office}"><sheets>'
        + '<sheet name="Plan" sheetId="1" r:id="rId1"/>' * sheets
        + "</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{package}"><Relationship Id="rId1"'
        f' Type="{office}/worksheet" Target="worksheets/sheet1.xml"/></Relationships>',
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{main}"><sheetData>{sheet}</sheetData></worksheet>',
        **(more or {}),
    })  # fmt: skip


def old_office(holds: str) -> bytes:
    """The beginning of an old container, with the name of a stream in it."""
    return b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600 + holds.encode("utf-16-le") + b"\0" * 400


def calendar(*events: str) -> bytes:
    """A calendar of events, each its lines."""
    whole = "".join(f"BEGIN:VEVENT\r\n{event}\r\nEND:VEVENT\r\n" for event in events)
    return f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n{whole}END:VCALENDAR\r\n".encode()
