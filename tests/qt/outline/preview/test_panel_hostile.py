"""Hostile attachments beside an outline under edit: shown or refused in words, and the window goes on."""

import struct

import pytest

from pacer.qt.attachments.cache import KEPT_BYTES
from pacer.qt.outline.preview import panel as panel_module
from tests.inputs.attached import seeds
from tests.inputs.reader import must_be_plain

_HUGE = 2**31 - 1
LYING = b"\x89PNG\r\n\x1a\n" + struct.pack(">I4sIIBBBBBI", 13, b"IHDR", _HUGE, _HUGE, 8, 2, 0, 0, 0, 0)


def hostile() -> dict[str, bytes]:
    files = {f"{n}{ending}": data for ending, of in seeds().items() for n, data in enumerate(of)}
    whole = files["0.pdf"]
    return files | {
        "torn.pdf": whole[: len(whole) // 2], "torn.png": files["0.png"][:-20], "empty.png": b"",
        "lying.png": LYING, "other.pdf": files["0.png"], "zero.bmp": b"\0" * 5000,
    }  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(hostile()))
def test_a_hostile_attachment_is_shown_or_refused_in_words_while_the_outline_goes_on(
    preview, hands, new_outline, tmp_path, qtbot, name
) -> None:
    (tmp_path / name).write_bytes(hostile()[name])
    rows = [{"title": "Model", "budget": "7", "attach": name}, {"title": "Look", "budget": "2"}]
    outline = new_outline(*rows).model_copy(update={"folder": str(tmp_path)})
    preview.show_outline(outline)
    hands.pass_ms(panel_module.LATE_MS)
    assert preview.seen.frame.title == "Model"  # painted before the file is opened
    qtbot.waitUntil(lambda: bool(preview.shelf.kept) or name in preview.shelf.unreadable, timeout=90_000)
    hands.pass_ms(panel_module.LATE_MS)
    assert sum(image.sizeInBytes() for image in preview.shelf.kept.values()) <= KEPT_BYTES
    if name in preview.shelf.unreadable:
        assert f"“{name}” is not shown" in preview.warnings.text()
        must_be_plain(preview.warnings.text())
    preview.forth()
    assert preview.seen is not None
    preview.close_files()
