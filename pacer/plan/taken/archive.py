"""Opens files that are ZIP archives of XML: members are counted and weighed before any is unpacked."""

import io
import struct
import zipfile
import zlib
from typing import Any

from pacer.plan.taken.taken import NotTakenError, broken, locked
from pacer.text import _

MOST_MEMBERS = 3_000
MOST_MEMBER_BYTES = 12_000_000
MOST_TAGS = 180_000  # each costs about 200 bytes and some microseconds
_LARGEST_INDEX = 600_000
_INDEX_END, _LARGE_INDEX = b"PK\x05\x06", b"PK\x06\x07"
_FAULTS = (zipfile.BadZipFile, zlib.error, ValueError, LookupError, OSError, EOFError, NotImplementedError,
           RuntimeError, struct.error)  # fmt: skip


def opened(data: bytes, kind: str) -> zipfile.ZipFile:
    """The archive of a file's bytes. Raises NotTakenError; ``kind`` is what the file should be.

    The index is weighed first: with a million names in it, reading it alone would take long.
    """
    at = data.rfind(_INDEX_END, max(0, len(data) - 66_000))
    if at < 0 or len(data) < at + 22:
        raise broken(kind)
    (size,) = struct.unpack_from("<I", data, at + 12)
    if size > _LARGEST_INDEX or data[max(0, at - 20) : at].startswith(_LARGE_INDEX):
        raise _too_large(kind)
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
        members = archive.infolist()
    except _FAULTS:
        raise broken(kind) from None
    if len(members) > MOST_MEMBERS:
        raise _too_large(kind)
    if any(member.flag_bits & 1 for member in members):
        raise locked()
    return archive


def _too_large(kind: str) -> NotTakenError:
    return NotTakenError(
        _("Unpacked, the {kind} would be far larger than any lesson, so it is not unpacked.", kind=kind),
        _("Open it in the program it comes from, copy the lines of one lesson and paste them."),
    )


def member_bytes(archive: zipfile.ZipFile, name: str, kind: str) -> bytes:
    """A member's bytes, empty where there is none. Raises NotTakenError where it says that it is large.

    No more is unpacked than it says.
    """
    try:
        member = archive.getinfo(name)
    except KeyError:
        return b""
    if member.file_size > MOST_MEMBER_BYTES:
        raise _too_large(kind)
    try:
        return archive.read(member)
    except _FAULTS:
        raise broken(kind) from None


def name_of(element: Any) -> str:
    """An element's name without its namespace: a standard has two of each."""
    return str(element.tag).rpartition("}")[2]


def value_of(element: Any, name: str) -> str:
    """An attribute, whichever namespace it has; empty where there is none."""
    return next((value for key, value in element.items() if key.rpartition("}")[2] == name), "")


def count_in(text: str, most_digits: int, else_: int = 0) -> int:
    """A number of plain digits that are not too many, or what counts where it is none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= most_digits else else_


def check_tags(data: bytes, kind: str, most: int = MOST_TAGS) -> None:
    """Raises NotTakenError for XML of more tags than there is room for."""
    if data.count(b"<") > most:
        raise _too_large(kind)


def root_of(archive: zipfile.ZipFile, name: str, kind: str) -> Any:
    """A member's XML; None where there is no such member. Raises NotTakenError.

    Nothing is fetched, no entity is put in, and what has a document type of its own is refused: these files
    have none.
    """
    data = member_bytes(archive, name, kind)
    return root_in(data, kind) if data else None


def root_in(data: bytes, kind: str) -> Any:
    """The root of XML bytes, which are UTF-8 or UTF-16 with its mark. Raises NotTakenError."""
    from lxml import etree

    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        data = data.decode("utf-16", "replace").encode()
    check_tags(data, kind)
    # The encoding is ours, whatever the file names: in another one tags could not be counted.
    parser = etree.XMLParser(
        encoding="utf-8", resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False,
        remove_comments=True, remove_pis=True,
    )  # fmt: skip
    try:
        root = etree.fromstring(data, parser)
    except (etree.XMLSyntaxError, ValueError):
        raise broken(kind) from None
    if root.getroottree().docinfo.doctype:
        raise broken(kind)
    return root
