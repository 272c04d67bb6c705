"""Formulas of the recipes: `20 + 1.9*area + edge`, worked out without ever running text as code.

The whole grammar, whatever a data file says:

    sum     = product { ("+" | "-") product }
    product = sign { ("*" | "/") sign }
    sign    = [ "+" | "-" ] sign | atom
    atom    = number | name | name "(" sum { "," sum } ")" | "(" sum ")"

Names are those of a recipe's sizes; functions are `min` and `max` of one or more, `ceil` and
`floor` of one, `round` of one or two (halves away from zero, to so many places). Numbers are exact
fractions, so `ceil(1.1 / 0.1)` is 11 and not the 12 that binary floating point makes of it.
"""

import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from math import ceil, floor

Value = Fraction
LONGEST_FORMULA = 400
DEEPEST = 40
"""Brackets and signs inside each other; deeper is no formula that a person wrote."""
MOST_PLACES = 6

_TOKEN = re.compile(r"\s*(?:(\d+(?:\.\d+)?)|([A-Za-z_][A-Za-z0-9_]*)|([-+*/(),]))", re.ASCII)


class FormulaError(ValueError):
    """Not a formula of this grammar, or one without a value; the message says where and why."""


def evaluate(formula: str, sizes: Mapping[str, Value | int]) -> Value:
    """The value of a formula for these sizes, exactly.

    Raises:
        FormulaError: not of the grammar, a name that is no size, a division by zero.

    >>> evaluate("ceil(area * coats / 9)", {"area": 38, "coats": 2})
    Fraction(9, 1)
    """
    return _Parser(formula, sizes).whole()


def names_in(formula: str) -> frozenset[str]:
    """The names of sizes that a formula uses; errors as `evaluate`."""
    words = {text for kind, text in _tokens(formula) if kind == "name"}
    return frozenset(words - set(_FUNCTIONS))


def exact(number: float | int | str) -> Value:
    """A number as it is written in decimals, exactly: 0.1 is one tenth.

    Raises:
        FormulaError: not a finite number.
    """
    try:
        return Fraction(str(number))
    except (ValueError, ZeroDivisionError):
        raise FormulaError(f'"{number}" is not a number') from None


def _round(values: list[Value]) -> Value:
    places = int(values[1]) if len(values) > 1 else 0
    if len(values) > 1 and (values[1] != places or not 0 <= places <= MOST_PLACES):
        raise FormulaError(f"round() takes 0 to {MOST_PLACES} places")
    step = Fraction(1, 10**places)
    whole = floor(abs(values[0]) / step + Fraction(1, 2)) * step
    return whole if values[0] >= 0 else -whole


_Function = Callable[[list[Value]], Value]
_FUNCTIONS: dict[str, tuple[int, int, _Function]] = {
    # fewest and most arguments, and what it does
    "min": (1, 20, min),
    "max": (1, 20, max),
    "ceil": (1, 1, lambda values: Fraction(ceil(values[0]))),
    "floor": (1, 1, lambda values: Fraction(floor(values[0]))),
    "round": (1, 2, _round),
}


def _tokens(formula: str) -> list[tuple[str, str]]:
    """(kind, text) of each token: number, name or sign."""
    if len(formula) > LONGEST_FORMULA:
        raise FormulaError(f"a formula of more than {LONGEST_FORMULA} characters")
    text = formula.rstrip()
    found: list[tuple[str, str]] = []
    at = 0
    while at < len(text):
        match = _TOKEN.match(text, at)
        if match is None:
            raise FormulaError(f'"{formula}": "{text[at:].lstrip()[:1]}" has no place in a formula')
        number, name, sign = match.groups()
        found.append(("number", number) if number else ("name", name) if name else ("sign", sign))
        at = match.end()
    return found


class _Parser:
    """Reads and works out in one go, one method for each rule of the grammar."""

    def __init__(self, formula: str, sizes: Mapping[str, Value | int]) -> None:
        self._formula = formula
        self._sizes = sizes
        self._tokens = _tokens(formula)
        self._at = 0
        self._depth = 0

    def whole(self) -> Value:
        value = self._sum()
        if self._at < len(self._tokens):
            raise self._wrong(f'"{self._tokens[self._at][1]}" was not expected there')
        return value

    def _sum(self) -> Value:
        value = self._product()
        while (sign := self._take("+", "-")) is not None:
            right = self._product()
            value = value + right if sign == "+" else value - right
        return value

    def _product(self) -> Value:
        value = self._signed()
        while (sign := self._take("*", "/")) is not None:
            right = self._signed()
            if sign == "*":
                value *= right
            elif right == 0:
                raise self._wrong("a division by zero")
            else:
                value /= right
        return value

    def _signed(self) -> Value:
        self._depth += 1
        if self._depth > DEEPEST:
            raise self._wrong(f"more than {DEEPEST} brackets and signs inside each other")
        sign = self._take("+", "-")
        if sign is None:
            value = self._atom()
        else:
            inner = self._signed()
            value = -inner if sign == "-" else inner
        self._depth -= 1
        return value

    def _atom(self) -> Value:
        if self._at >= len(self._tokens):
            raise self._wrong("it ends too soon")
        kind, text = self._tokens[self._at]
        self._at += 1
        if kind == "number":
            return Fraction(text)
        if kind == "name":
            return self._call(text) if text in _FUNCTIONS else self._size(text)
        if text == "(":
            value = self._sum()
            self._expect(")")
            return value
        raise self._wrong(f'"{text}" was not expected there')

    def _call(self, name: str) -> Value:
        fewest, most, function = _FUNCTIONS[name]
        self._expect("(")
        values = [self._sum()]
        while self._take(",") is not None:
            values.append(self._sum())
        self._expect(")")
        if not fewest <= len(values) <= most:
            raise self._wrong(f"{name}() takes {fewest} to {most} values")
        return function(values)

    def _size(self, name: str) -> Value:
        if name not in self._sizes:
            known = ", ".join(sorted(self._sizes)) or "none"
            raise self._wrong(f'"{name}" is none of the sizes ({known})')
        return Fraction(self._sizes[name])

    def _take(self, *signs: str) -> str | None:
        """The next token if it is one of these signs."""
        if self._at < len(self._tokens):
            kind, text = self._tokens[self._at]
            if kind == "sign" and text in signs:
                self._at += 1
                return text
        return None

    def _expect(self, sign: str) -> None:
        if self._take(sign) is None:
            raise self._wrong(f'"{sign}" is missing')

    def _wrong(self, why: str) -> FormulaError:
        return FormulaError(f'"{self._formula}": {why}')
