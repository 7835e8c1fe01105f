"""The outlines behind planned names."""

from pacer.editing.dates.planned_outlines import PlannedOutlines
from pacer.paths import template_folder


def test_an_own_outline_and_a_template_are_found_by_name_and_seen_anew_when_changed(tmp_path, invented_text):
    outlines = PlannedOutlines(tmp_path)
    assert (outlines.outline("thirds.toml"), outlines.is_there("thirds.toml")) == (None, False)
    (tmp_path / "thirds.toml").write_text(invented_text, encoding="utf-8")
    assert outlines.title("thirds.toml") == "Thirds on a number line"
    (tmp_path / "thirds.toml").write_text(invented_text.replace("Thirds", "Fifths"), encoding="utf-8")
    (tmp_path / "thirds.toml").touch()
    template = next(template_folder().glob("*.toml"))
    assert outlines.path(f"template/{template.name}") == template
    assert outlines.title(f"template/{template.name}")


def test_a_broken_file_has_no_title_and_is_there(tmp_path):
    (tmp_path / "broken.toml").write_text("nonsense")
    outlines = PlannedOutlines(tmp_path)
    assert (outlines.title("broken.toml"), outlines.is_there("broken.toml")) == ("", True)
