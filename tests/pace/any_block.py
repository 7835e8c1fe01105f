"""Invented whole blocks and what may be pressed in them, for what must hold on every one of them."""

from collections.abc import Iterator

from hypothesis import strategies as st

from pacer.pace.reading import Reading
from pacer.plan.outline import Block, Group, Outline, Phase
from pacer.run.clock import ManualClock
from pacer.run.refusal import Refusal
from pacer.run.session import Done, MemoryJournal, Session
from pacer.watch import execute, look

MINUTES = st.integers(5, 100).map(lambda minutes: minutes * 60)
SECONDS = st.one_of(st.just(0), st.integers(1, 400), st.sampled_from([60, 90, 120, 300]))
BLOCK = st.fixed_dictionaries(
    {
        "length_s": st.one_of(MINUTES, st.just(75 * 60), st.integers(300, 1200)),
        "mini_s": st.one_of(st.integers(1, 40).map(lambda minutes: minutes * 60), st.integers(1, 600)),
        "move_s": SECONDS,
        "swap_s": SECONDS,
        "clean_up_s": SECONDS,
        "share_s": SECONDS,
        "share_floor_s": st.one_of(st.none(), st.integers(0, 400)),
        "visit_floor_s": st.one_of(st.just(480), st.integers(0, 900)),
        "groups": st.one_of(st.integers(2, 4), st.integers(0, 12)),
        "late_s": st.one_of(st.just(0), st.integers(-300, 900), st.integers(0, 5400)),
        "order": st.permutations(range(12)),
    }
)
PRESS = st.sampled_from(
    [
        *[("next", "")] * 6,
        *[("groups", "")] * 3,
        *(("back", ""), ("undo", ""), ("undo", ""), ("pause", ""), ("go-on", ""), ("blank", "")),
        *(("add", "1:00"), ("add", "0:10"), ("take", "0:30"), ("take", "5:00"), ("keep", ""), ("keep", "")),
        *(("missed", ""), ("missed", "group 1"), ("missed", "group 3"), ("jump", "group 2"), ("jump", "1")),
        *(("jump", "share"), ("jump", "clean-up"), ("jump", "move"), ("happened", ""), ("table-mark", "")),
        *(("bell-earlier", ""), ("bell-later", ""), ("bell-earlier", "0:07"), ("bell-later", "25")),
        *(("voice", ""), ("tally", "3"), ("uncut", ""), ("burst", ""), ("hide", ""), ("wall", "")),
    ]
)
MOMENT = st.one_of(
    st.tuples(st.just("press"), PRESS),
    st.tuples(st.just("press"), PRESS),
    st.tuples(st.just("wait"), st.integers(1, 2_999)),
    st.tuples(
        st.just("sleep"), st.one_of(st.integers(3_001, 900_000), st.integers(10, 900).map(lambda s: s * 1000))
    ),
)
PRESSES = st.lists(MOMENT, min_size=1, max_size=25)


def outline_of(shape: dict) -> Outline:
    """The outline of an invented block, its mini lesson in one phase."""
    groups = tuple(Group(name=f"Shape {number}") for number in range(shape["groups"]))
    order = tuple(f"Shape {number}" for number in shape["order"] if number < shape["groups"])
    block = Block(**{name: shape[name] for name in Block.model_fields if name in shape} | {"order": order})
    phase = Phase(
        id="mini", title="Mini lesson", kind="modeling", budget_s=shape["mini_s"], floor_s=0, cut_tier=1
    )
    return Outline(
        title="Fractions on a number line",
        block=block,
        mini_lesson_s=shape["mini_s"],
        phases=(phase,),
        groups=groups,
    )


class AnyBlock:
    """A lesson of an invented block on a clock moved by hand, with every press that was followed."""

    def __init__(self, shape: dict) -> None:
        self.clock = ManualClock(9 * 3_600_000)
        self.journal = MemoryJournal()
        self.session = Session(self.clock, self.journal)
        self.session.start(outline_of(shape), 9 * 3_600_000 - shape["late_s"] * 1000)

    def play(self, moments: list) -> Iterator[tuple[Reading, str]]:
        """Follow moments one after another: what is read after each, and the command that was followed."""
        yield look(self.session), ""
        for kind, value in moments:
            if not self.session.state.is_running:
                return
            command = ""
            if kind == "press":
                done: Done | Refusal = execute(self.session, *value)
                command = value[0] if isinstance(done, Done) else ""
            else:
                self.clock.advance(value)
            yield look(self.session), command
