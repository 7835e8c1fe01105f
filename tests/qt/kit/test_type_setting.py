"""Words that must be cut are cut between two of them; those that may not be cut shrink."""

import pytest

from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import ELLIPSIS, fit, fit_whole

pytestmark = pytest.mark.usefixtures("dressed")
TASK = "Review problem once more, with strips, then on a number line to five"


@pytest.mark.parametrize("lines", [1, 2])
@pytest.mark.parametrize("width", range(160, 420, 20))
def test_no_word_is_cut_where_others_before_it_fit(width: int, lines: int) -> None:
    made = fit(TASK, width, 100, 20, 20, theme.REGULAR, lines)
    kept = " ".join(made.lines).removesuffix(ELLIPSIS).rstrip()
    assert made.elided == (kept != TASK)
    assert TASK.startswith(kept)
    assert not TASK[len(kept) :][:1].isalpha()


def test_a_word_longer_than_its_line_shows_as_much_as_fits() -> None:
    made = fit("at Geschwindigkeitsbegrenzungen", 160, 100, 20, 20, theme.REGULAR)
    assert made.elided
    assert made.lines[0].startswith("at Geschw")


@pytest.mark.parametrize("sign", [".", "?", "!", ","])
@pytest.mark.parametrize("width", range(110, 420, 7))
def test_no_line_begins_with_the_sign_behind_a_blank_to_fill_in(width: int, sign: str) -> None:
    text = f"A fraction names ____ {sign} It is ____ {sign}"
    made = fit_whole(text, width, 400, 24, 24, theme.REGULAR, 6)
    assert " ".join(made.lines) == text
    assert not any(line.startswith(sign) for line in made.lines)


@pytest.mark.parametrize("width", range(150, 420, 7))
def test_the_name_of_a_key_is_not_broken(width: int) -> None:
    text = "Enter closes. Page Up takes it back."
    made = fit_whole(text, width, 400, 24, 24, theme.REGULAR, 6)
    assert " ".join(made.lines) == text
    assert not any(line.endswith("Page") for line in made.lines)


@pytest.mark.parametrize("width", [60, 160, 400])
@pytest.mark.parametrize("height", [20, 60, 200])
@pytest.mark.parametrize("text", [TASK, "Geschwindigkeitsbegrenzungen und Fahrzeuge", "ab" * 60, ""])
def test_where_no_word_may_go_the_letters_shrink_until_all_is_there(
    text: str, height: int, width: int
) -> None:
    made = fit_whole(text, width, height, 24, 18, theme.REGULAR)
    assert not made.elided
    assert "".join(made.lines).replace(" ", "") == text.replace(" ", "")
    assert made.height <= height + 0.1
    assert made.width <= width + 0.1
