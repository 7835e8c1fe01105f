"""The card from the window: never over a file about which nobody was asked."""

from datetime import datetime

from pacer.qt.paper.print_card import write_card

NINE = datetime(2026, 3, 9, 9, 0)


def test_a_name_that_got_its_ending_from_pacer_is_not_written_over_another_file(qapp, invented, tmp_path):
    """The file chooser asked about the name that was typed, not about the one with an ending."""
    taken = tmp_path / "card.pdf"
    taken.write_text("mine")
    assert write_card(tmp_path / "card", invented, NINE) == f"{taken} is there already. Choose another name."
    assert taken.read_text() == "mine"


def test_a_name_that_the_file_chooser_asked_about_is_written_over(qapp, invented, tmp_path):
    taken = tmp_path / "card.pdf"
    taken.write_text("mine")
    assert write_card(taken, invented, NINE).startswith(f"The card is in {taken}. ")
    assert taken.read_bytes().startswith(b"%PDF")
