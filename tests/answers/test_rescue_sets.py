"""Minimal sets by hitting sets, against all sets tried one by one."""

from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from episodes.answers.rescue_sets import Asking, Found, Ids, Price, minimal_sets

NAMES = "abcdef"


@dataclass
class Made:
    """A made-up case: which sets save, which ways are doubtful, what each costs."""

    prices: dict[str, Price]
    doubtful: Ids
    saves: Callable[[Ids], bool]
    clashes: frozenset[Ids] = frozenset()
    spoiled: tuple[Ids, ...] = ()
    quick: bool = True
    asked: list[Ids] = field(default_factory=list)

    def ask(self) -> Asking:
        def saves(ids: Ids) -> bool:
            self.asked.append(ids)
            return self.saves(ids)

        return Asking(
            saves=saves,
            weak=lambda ids: self.quick and not self.saves(ids),
            clash=lambda one, other: frozenset((one, other)) in self.clashes,
            helps=self.helps,
        )

    def helps(self, beside: Ids, others: Ids) -> Ids:
        """Those that spoil nothing beside the doubtful ways that are there."""
        return frozenset(
            other
            for other in others
            if not any(other in bad and bad - {other} <= beside for bad in self.spoiled)
        )

    def found(self, questions: int = 1000) -> Found:
        return minimal_sets(self.prices, self.doubtful, self.ask(), questions=questions)

    def by_hand(self) -> set[Ids]:
        every = [
            frozenset(some)
            for size in range(1, len(self.prices) + 1)
            for some in combinations(sorted(self.prices), size)
        ]
        good = [
            ids
            for ids in every
            if self.saves(ids) and not any(clash <= ids for clash in self.clashes)
        ]
        return {ids for ids in good if not any(other < ids for other in good)}


@st.composite
def cases(draw: st.DrawFn) -> Made:
    """A set saves if it holds one of some cores, and no doubtful way spoils it."""
    names = NAMES[: draw(st.integers(1, 6))]
    some = st.frozensets(st.sampled_from(names), min_size=1, max_size=3)
    cores = draw(st.lists(some, max_size=4))
    doubtful = draw(st.frozensets(st.sampled_from(names), max_size=3))
    spoils = draw(st.lists(st.tuples(st.sampled_from(names), st.sampled_from(names)), max_size=3))
    spoiled = [frozenset(pair) for pair in spoils if doubtful & set(pair)]
    clash = draw(st.lists(st.tuples(st.sampled_from(names), st.sampled_from(names)), max_size=2))

    def saves(ids: Ids) -> bool:
        return any(core <= ids for core in cores) and not any(bad <= ids for bad in spoiled)

    return Made(
        prices={
            name: Price(draw(st.sampled_from((0, 0, 1, 2))), draw(st.sampled_from((-5, 0, 3, 8))))
            for name in names
        },
        doubtful=doubtful,
        saves=saves,
        clashes=frozenset(frozenset(pair) for pair in clash if pair[0] != pair[1]),
        spoiled=tuple(spoiled),
        quick=draw(st.booleans()),
    )


@given(cases())
def test_the_sets_found_are_the_minimal_ones_of_all_that_save(made: Made) -> None:
    found = made.found()
    assert set(found.sets) == made.by_hand()
    assert len(set(found.sets)) == len(found.sets)
    assert found.complete


@given(cases(), st.integers(0, 6))
def test_with_few_questions_what_is_found_is_right_and_what_is_complete_is_all(
    made: Made, questions: int
) -> None:
    found = made.found(questions)
    assert len(made.asked) <= questions
    assert set(found.sets) <= made.by_hand()
    if found.complete:
        assert set(found.sets) == made.by_hand()


@given(cases(), st.frozensets(st.frozensets(st.sampled_from(NAMES), max_size=2), max_size=3))
def test_where_a_question_stays_open_the_list_is_not_called_complete_without_cause(
    made: Made, unknown: frozenset[Ids]
) -> None:
    """Some sets cannot be settled; whatever they were, a complete list would be the same."""
    made.quick = False
    ask = made.ask()

    def saves(ids: Ids) -> bool | None:
        return None if ids in unknown else made.saves(ids)

    open_ask = Asking(saves=saves, weak=ask.weak, clash=ask.clash, helps=made.helps)
    found = minimal_sets(made.prices, made.doubtful, open_ask, questions=1000)
    assert all(made.saves(ids) for ids in found.sets)
    if found.complete:
        assert set(found.sets) == made.by_hand()


def test_cheaper_sets_come_first() -> None:
    made = Made(
        prices={"a": Price(0, 10), "b": Price(0, 4), "c": Price(0, 5), "d": Price(1, 0)},
        doubtful=frozenset(),
        saves=lambda ids: "a" in ids or {"b", "c"} <= ids or "d" in ids,
    )
    assert [sorted(ids) for ids in made.found().sets] == [["b", "c"], ["a"], ["d"]]


def test_twelve_ways_that_do_not_help_at_all_are_ruled_out_by_one_look() -> None:
    made = Made(
        prices={name: Price(0, 1) for name in "abcdefghijkl"},
        doubtful=frozenset(),
        saves=lambda ids: False,
        quick=False,
    )
    assert made.found() == Found((), complete=True)
    assert len(made.asked) == 2  # the cheapest alone, then all together


def test_a_need_for_three_of_ten_is_found_with_far_fewer_questions_than_there_are_sets() -> None:
    made = Made(
        prices={name: Price(0, cost) for cost, name in enumerate("abcdefghij", 1)},
        doubtful=frozenset(),
        saves=lambda ids: {"c", "f", "j"} <= ids,
        quick=False,
    )
    assert made.found().sets == (frozenset("cfj"),)
    assert len(made.asked) < 60  # of 1023


def test_nothing_is_asked_twice() -> None:
    made = Made(
        prices={name: Price(0, 1) for name in NAMES},
        doubtful=frozenset("ab"),
        saves=lambda ids: {"a", "c", "d"} <= ids,
        quick=False,
    )
    made.found()
    assert len(made.asked) == len(set(made.asked))
