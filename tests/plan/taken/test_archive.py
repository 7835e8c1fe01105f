import io
import zipfile

import pytest

from pacer.plan.taken.archive import MOST_MEMBER_BYTES, MOST_MEMBERS, opened
from pacer.plan.taken.read_file import text_in
from pacer.plan.taken.taken import NotTakenError
from tests.plan.taken.file_factories import docx, old_office, paragraph, zipped


def test_a_bomb_is_told_by_what_its_member_says_of_itself_before_it_is_unpacked():
    bomb = zipped({"word/document.xml": b" " * (MOST_MEMBER_BYTES + 1)})
    assert len(bomb) < 20_000
    with pytest.raises(NotTakenError, match="far larger than any lesson"):
        text_in(bomb, "lesson.docx")


def test_no_more_is_unpacked_than_a_member_says():
    whole = docx(paragraph("Warm-up 5") * 50)
    with zipfile.ZipFile(io.BytesIO(whole)) as archive:
        size = archive.getinfo("word/document.xml").file_size
    lying = whole.replace(size.to_bytes(4, "little"), (40).to_bytes(4, "little"))
    assert lying != whole
    with pytest.raises(NotTakenError, match="broken or cut short"):
        text_in(lying, "lesson.docx")


def test_an_archive_of_thousands_of_members_is_not_gone_through():
    many = zipped({f"{n}": b"" for n in range(MOST_MEMBERS + 1)})
    with pytest.raises(NotTakenError, match="far larger"):
        opened(many, "document")


def test_a_locked_member_says_that_there_is_a_password():
    locked = bytearray(docx(paragraph("Warm-up")))
    at = locked.find(b"PK\x01\x02")
    locked[at + 8] |= 1
    with pytest.raises(NotTakenError, match="locked with a password"):
        text_in(bytes(locked), "lesson.docx")


@pytest.mark.parametrize(
    ("holds", "says"),
    [("EncryptedPackage", "locked with a password"), ("WordDocument", "old form of office")],
)
def test_a_locked_or_an_old_office_file_says_what_to_do(holds, says):
    with pytest.raises(NotTakenError, match=says) as refused:
        text_in(old_office(holds), "lesson.docx")
    assert "paste its text" in str(refused.value)
