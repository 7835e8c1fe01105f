"""Where words must be cut, they are cut between two of them."""

import pytest

from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import ELLIPSIS, fit

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
