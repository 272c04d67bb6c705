"""Formulas mean what Python's exact arithmetic means, and nothing else is ever run."""

from contextlib import suppress
from fractions import Fraction
from math import ceil, floor
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from episodes.trade.formulas import FormulaError, evaluate, exact, names_in

SIZES = {"area": Fraction(38), "coats": Fraction(2), "edge": Fraction(1, 2)}
numbers = st.decimals(0, 1000, places=3, allow_nan=False).map(lambda value: f"{value:f}")
leaves = st.one_of(
    numbers.map(lambda text: (text, Fraction(text))),
    st.sampled_from(sorted(SIZES)).map(lambda name: (name, SIZES[name])),
)


def _joined(parts: tuple[str, Any, Any]) -> tuple[str, Fraction]:
    sign, (left, a), (right, b) = parts
    if sign == "/" and b == 0:
        sign = "+"
    value = {"+": a + b, "-": a - b, "*": a * b}.get(sign)
    return f"({left} {sign} {right})", a / b if value is None else value


def _called(parts: tuple[str, Any, Any]) -> tuple[str, Fraction]:
    name, (left, a), (right, b) = parts
    if name in ("min", "max"):
        return f"{name}({left}, {right})", {"min": min, "max": max}[name](a, b)
    return f"{name}({left})", Fraction({"ceil": ceil, "floor": floor}[name](a))


trees = st.recursive(
    leaves,
    lambda inner: st.one_of(
        st.tuples(st.sampled_from("+-*/"), inner, inner).map(_joined),
        st.tuples(st.sampled_from(["min", "max", "ceil", "floor"]), inner, inner).map(_called),
        inner.map(lambda pair: (f"-{pair[0]}", -pair[1])),
    ),
    max_leaves=12,
)


@given(trees.filter(lambda pair: len(pair[0]) < 380))
def test_a_formula_is_worth_what_the_same_fractions_are(tree: tuple[str, Fraction]) -> None:
    formula, value = tree
    assert evaluate(formula, SIZES) == value


@given(st.lists(st.tuples(st.sampled_from("+-*"), st.integers(0, 99)), min_size=1, max_size=9))
def test_products_come_before_sums_and_equals_from_the_left(parts: list[tuple[str, int]]) -> None:
    formula = "7" + "".join(f" {sign} {number}" for sign, number in parts)
    # The formula holds only digits and signs: Python reads it as this grammar does.
    assert evaluate(formula, {}) == eval(formula, {"__builtins__": {}})


@pytest.mark.parametrize(
    ("formula", "value"),
    [
        ("1 - 2 - 3", -4),
        ("12 / 3 / 2", 2),
        ("2 + 3 * 4", 14),
        ("--3", 3),
        ("ceil(1.1 / 0.1)", 11),
        ("ceil(area * coats / 9 / 2.5) * 2.5", 10),
        ("round(2.5)", 3),
        ("round(-2.5)", -3),
        ("round(1.005, 2)", Fraction("1.01")),
        ("max(1, area, edge)", 38),
        ("floor(-0.5)", -1),
    ],
)
def test_worked_values(formula: str, value: int | Fraction) -> None:
    assert evaluate(formula, SIZES) == value


@pytest.mark.parametrize(
    "formula",
    [
        "", "1 +", "(1", "1)", "1 2", "area coats", "area()", "max()", "ceil(1, 2)", "1 / 0",
        "1 / (coats - 2)", "nothing", "__import__('os')", "area.real", "1; 2", "2 ** 3", "a = 1",
        "lambda: 1", "[1]", "'text'", "round(1, 0.5)", "round(1, 99)", "1e9", ".5",
        "(" * 60 + "1" + ")" * 60, "1+" * 300 + "1",
    ],
)  # fmt: skip
def test_what_is_no_formula_is_refused_in_words(formula: str) -> None:
    with pytest.raises(FormulaError) as refused:
        evaluate(formula, SIZES)
    assert len(str(refused.value)) > 10


@given(st.text(max_size=60))
def test_any_text_is_a_value_or_a_refusal(text: str) -> None:
    with suppress(FormulaError):
        assert isinstance(evaluate(text, SIZES), Fraction)


def test_the_names_of_a_formula_are_its_sizes_not_its_functions() -> None:
    assert names_in("max(area, 2*coats) + ceil(edge)") == {"area", "coats", "edge"}


def test_a_written_number_is_exact() -> None:
    assert exact(0.1) == exact("0.1") == Fraction(1, 10)
    with pytest.raises(FormulaError):
        exact("much")
    with pytest.raises(FormulaError):
        exact(float("nan"))
