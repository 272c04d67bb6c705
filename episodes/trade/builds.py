"""A recipe worked out for one room: hours, amounts and names instead of formulas.

In: a recipe and the sizes that were given. Out: frozen lists that a plan file is written from.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby
from math import floor

from episodes.amounts import Estimate
from episodes.trade.formulas import FormulaError, Value, evaluate
from episodes.trade.geometry import cut_list, rows_of
from episodes.trade.recipes import (
    WHOLE_UNITS,
    Buy,
    Link,
    Recipe,
    RecipeShot,
    RecipeStep,
    Size,
    Span,
)

GRAIN = 5
"""Minutes that hands-on time is rounded to; a guess looks like one."""
_BRACES = re.compile(r"\{([^{}]+)\}")


class SizeError(ValueError):
    """A size that the recipe does not have, or a number it cannot take; says what would do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BuiltStep:
    """A step with its hours: `recipe` is the written one with names, links and texts filled in."""

    recipe: RecipeStep
    hands: Estimate | None
    gear: tuple[tuple[str, int], ...]

    @property
    def id(self) -> str:
        return self.recipe.id


@dataclass(frozen=True, slots=True, kw_only=True)
class BuiltShot:
    """A shot with its length in minutes."""

    recipe: RecipeShot
    hands: int

    @property
    def id(self) -> str:
        return self.recipe.id


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """A line of the shopping list with its amount, and how to cut what is to be cut."""

    buy: Buy
    amount: Value
    cuts: str = ""

    @property
    def words(self) -> str:
        """`10 L wall paint`, `2 x rod`; the title alone where there is one of it."""
        if self.buy.unit:
            return f"{decimal(self.amount)} {self.buy.unit} {self.buy.title}"
        return self.buy.title if self.amount == 1 else f"{decimal(self.amount)} x {self.buy.title}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """A recipe for these sizes."""

    recipe: Recipe
    sizes: dict[str, Value]
    steps: tuple[BuiltStep, ...]
    shots: tuple[BuiltShot, ...]
    purchases: tuple[Purchase, ...]
    note: str

    @property
    def hands(self) -> Estimate:
        """Hands-on minutes of all steps, low and high added as they stand."""
        lengths = [step.hands for step in self.steps if step.hands is not None]
        return Estimate(
            sum(each.low for each in lengths),
            sum(each.likely for each in lengths),
            sum(each.high for each in lengths),
        )


def sizes_for(recipe: Recipe, given: Mapping[str, Value]) -> dict[str, Value]:
    """Every size of the recipe: what was given, else its default.

    Raises:
        SizeError: none of its sizes, out of range, or not whole where it counts things.
    """
    known = {size.id: size for size in recipe.sizes}
    for name in given:
        if name not in known:
            has = ", ".join(known) or "none"
            raise SizeError(f'{recipe.id} has no size "{name}"; it has: {has}')
    return {id: _checked(recipe, size, given.get(id)) for id, size in known.items()}


def _checked(recipe: Recipe, size: Size, value: Value | None) -> Value:
    if value is None:
        return size.default
    if not size.lowest <= value <= size.highest:
        raise SizeError(
            f"{recipe.id}: {size.id}={decimal(value)} is not between {decimal(size.lowest)} and "
            f"{decimal(size.highest)}{unit_words(size)}"
        )
    if size.unit in WHOLE_UNITS and value.denominator != 1:
        raise SizeError(f"{recipe.id}: {size.id}={decimal(value)} must be a whole number")
    return value


def build(recipe: Recipe, given: Mapping[str, Value] | None = None) -> Build:
    """Work a recipe out.

    Args:
        given: sizes by id, in the unit of each; the others take their defaults.

    Raises:
        SizeError: as `sizes_for`, or the sizes do not go together.
    """
    sizes = sizes_for(recipe, given or {})
    try:
        return Build(
            recipe=recipe,
            sizes=sizes,
            steps=tuple(_steps(recipe, sizes)),
            shots=tuple(_shots(recipe.shots, sizes)),
            purchases=tuple(_purchases(recipe.buys, sizes)),
            note=_filled(recipe.note, sizes),
        )
    except FormulaError as error:
        raise SizeError(f"{recipe.id}: with these sizes {error}") from None


def _steps(recipe: Recipe, sizes: Mapping[str, Value]) -> Iterator[BuiltStep]:
    wanted = [
        step for step in recipe.steps if step.only_if is None or evaluate(step.only_if, sizes) != 0
    ]
    for repeat, run in groupby(wanted, key=lambda step: step.repeat):
        group = list(run)
        if repeat is None:
            for step in group:
                yield _step(step, sizes, recipe.span)
            continue
        for n in range(2, 2 + max(0, floor(evaluate(repeat, sizes)))):
            for step in group:
                yield _step(step, {**sizes, "n": Fraction(n)}, recipe.span)


def _step(step: RecipeStep, sizes: Mapping[str, Value], span: Span) -> BuiltStep:
    after = step.after
    if after is not None:
        after = tuple(Link(step=_filled(link.step, sizes), stage=link.stage) for link in after)
    return BuiltStep(
        recipe=replace(
            step,
            id=_filled(step.id, sizes),
            title=_filled(step.title, sizes),
            note=_filled(step.note, sizes),
            after=after,
        ),
        hands=None if step.hands is None else range_of(evaluate(step.hands, sizes), span),
        gear=tuple((id, max(1, floor(evaluate(count, sizes)))) for id, count in step.gear),
    )


def _shots(shots: Sequence[RecipeShot], sizes: Mapping[str, Value]) -> Iterator[BuiltShot]:
    for shot in shots:
        times = 1 if shot.repeat is None else max(0, floor(evaluate(shot.repeat, sizes)))
        for n in range(1, times + 1):
            here = sizes if shot.repeat is None else {**sizes, "n": Fraction(n)}
            yield BuiltShot(
                recipe=replace(
                    shot,
                    id=_filled(shot.id, here),
                    title=_filled(shot.title, here),
                    of=_filled(shot.of, here),
                    note=_filled(shot.note, here),
                ),
                hands=_to_grain(evaluate(shot.hands, here)),
            )


def _purchases(buys: Sequence[Buy], sizes: Mapping[str, Value]) -> Iterator[Purchase]:
    for buy in buys:
        filled = replace(buy, note=_filled(buy.note, sizes), title=_filled(buy.title, sizes))
        if buy.count is not None:
            amount = evaluate(buy.count, sizes)
            if amount > 0:
                yield Purchase(buy=filled, amount=amount)
            continue
        yield _from_sticks(filled, sizes)


def _from_sticks(buy: Buy, sizes: Mapping[str, Value]) -> Purchase:
    pieces: list[float] = []
    for count, length in buy.pieces:
        pieces += [float(evaluate(length, sizes))] * floor(evaluate(count, sizes))
    assert buy.stock is not None
    try:
        sticks = cut_list(pieces, float(evaluate(buy.stock, sizes)))
    except ValueError as error:
        raise SizeError(f"{buy.title}: {error}") from None
    words = [
        f"{len(list(alike))} x {rows}"
        for rows, alike in groupby(rows_of(stick) for stick in sticks)
    ]
    return Purchase(buy=buy, amount=Fraction(len(sticks) + buy.spare), cuts="; ".join(words))


def range_of(minutes: Value, span: Span) -> Estimate:
    """Low, likely and high of a formula's minutes, to five minutes.

    >>> from episodes.trade.recipes import FIRST_TIME
    >>> range_of(Fraction(134), FIRST_TIME)
    Estimate(low=95, likely=135, high=240)
    """
    low, likely, high = (_to_grain(minutes * factor) for factor in span)
    return Estimate(low, likely, high)


def _to_grain(minutes: Value) -> int:
    return max(GRAIN, floor(minutes / GRAIN + Fraction(1, 2)) * GRAIN)


def _filled(text: str, sizes: Mapping[str, Value]) -> str:
    """The text with the formulas in its braces worked out."""
    return _BRACES.sub(lambda match: decimal(evaluate(match[1], sizes)), text)


def decimal(value: Value) -> str:
    """A number as a person writes it, to two decimals: `2.5`, `38`, `0.07`.

    >>> decimal(Fraction(5, 2)), decimal(Fraction(38)), decimal(Fraction(1, 3))
    ('2.5', '38', '0.33')
    """
    return f"{float(value):.2f}".rstrip("0").rstrip(".")


def unit_words(size: Size) -> str:
    """A size's unit behind a number: ` m`, ` m2`, or nothing where things are counted."""
    return "" if size.unit in ("count", "times") else f" {size.unit}"


def sized_name(built: Build, *, asked: bool = False) -> str:
    """The recipe as it is typed with its sizes: `paint-walls:area=38m2,edge=42m,coats=2`.

    Args:
        asked: only the main sizes.
    """
    sizes = ",".join(
        f"{size.id}={decimal(built.sizes[size.id])}{unit_words(size).strip()}"
        for size in built.recipe.sizes
        if size.asked or not asked
    )
    return f"{built.recipe.id}:{sizes}" if sizes else built.recipe.id
