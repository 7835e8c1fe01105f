"""Where people are asked for files: in the folder of documents, or their own where there is none."""

from pathlib import Path

from PySide6.QtCore import QStandardPaths

from pacer.qt.kit.files import documents


def test_a_folder_of_documents_that_is_not_there_is_not_offered_as_a_name(
    tmp_path: Path, monkeypatch
) -> None:
    place = QStandardPaths.StandardLocation
    folders = {place.DocumentsLocation: tmp_path / "Documents", place.HomeLocation: tmp_path}
    monkeypatch.setattr(QStandardPaths, "writableLocation", lambda wanted: str(folders[wanted]))
    assert documents() == str(tmp_path)
    (tmp_path / "Documents").mkdir()
    assert documents() == str(tmp_path / "Documents")
