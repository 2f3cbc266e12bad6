"""Reading a formula: recursive descent over a small grammar, bounded before anything is computed."""

from __future__ import annotations

import math

from logbook.core.formulas.formula import Formula
from logbook.core.formulas.operations import OPERATIONS
from logbook.core.formulas.steps import StepList
from logbook.core.formulas.tokens import Token, refusal, tokens_of
from logbook.core.quantities.spelling import quoted

MOST_NODES = 200
DEEPEST = 50

# log is the natural logarithm, as in most programming languages.
_FUNCTIONS = {
    "sqrt": "sqrt", "exp": "exp", "ln": "ln", "log": "ln", "log10": "log10", "abs": "abs", "min": "min",
    "max": "max", "sin": "sin", "cos": "cos", "tan": "tan", "atan": "atan", "par": "par",
}  # fmt: skip
_CONSTANTS = {"pi": math.pi}
FUNCTION_NAMES = tuple(_FUNCTIONS)
_SEVERAL = {"min", "max", "par"}


def parse_formula(text: str) -> Formula:
    """Read a formula over named parts.

    Parameters
    ----------
    text : str
        At most 500 characters, 200 nodes and 50 levels: numbers, names of parts (letters, digits,
        underscore), + - * / and ** (or ^), parentheses, pi, and the functions sqrt, exp, ln (or log), log10,
        abs, min, max, sin, cos, tan, atan (radian) and par (resistances in parallel).

    Returns
    -------
    Formula
        Ready to be computed; nothing in it is Python.

    Raises
    ------
    FormulaError
        When the text is too long, too deep or too large, holds anything else, or has a piece of numbers
        alone without a finite value (1/0, 9**9**9). The message says at which character.

    Notes
    -----
    A power binds tighter than a sign before it and goes from right to left, so -2**2 is -4 and 2**3**2 is
    512. The time needed is bounded by the size of the text, whatever it holds.

    Examples
    --------
    >>> formula = parse_formula("vref*(1 + rtop/rbot)")
    >>> formula.names
    ('vref', 'rtop', 'rbot')
    >>> formula.evaluate({"vref": 0.6, "rtop": 45300, "rbot": 10000})
    3.318
    """
    reader = _Reader(tokens_of(text))
    last = reader.read()
    return Formula(text.strip(), reader.list.up_to(last))


class _Reader:
    def __init__(self, tokens: list[Token]) -> None:
        self.list = StepList()
        self._tokens = tokens
        self._at = 0
        self._nodes = 0
        self._depth = 0

    def read(self) -> int:
        last = self._sum()
        if self._next.kind != "end":
            raise self._unexpected()
        return last

    @property
    def _next(self) -> Token:
        return self._tokens[self._at]

    def _took(self, *signs: str) -> str:
        """Step over one of these signs; return it, or nothing."""
        if self._next.kind != "sign" or self._next.text not in signs:
            return ""
        self._at += 1
        return self._tokens[self._at - 1].text

    def _expect(self, sign: str) -> None:
        if not self._took(sign):
            raise self._unexpected(f"'{sign}'")

    def _unexpected(self, allowed: str = "a sign + - * / ** or the end") -> Exception:
        token = self._next
        found = quoted(token.text) if token.text else "The end"
        return refusal(
            f"{found} stands where {allowed} was expected.",
            given=token.text,
            allowed=allowed,
            place=token.place,
        )

    def _count(self) -> None:
        self._nodes += 1
        if self._nodes > MOST_NODES:
            raise refusal(
                f"The formula has more than {MOST_NODES} numbers, names and operations.",
                given=self._next.text,
                allowed=f"at most {MOST_NODES}",
                place=self._next.place,
            )

    def _go_deeper(self) -> None:
        self._depth += 1
        if self._depth > DEEPEST:
            raise refusal(
                f"The formula is nested deeper than {DEEPEST} levels.",
                given=self._next.text,
                allowed=f"at most {DEEPEST} levels",
                place=self._next.place,
            )

    def _apply(self, kind: str, *arguments: int) -> int:
        self._count()
        return self.list.operation(kind, *arguments)

    def _sum(self) -> int:
        left = self._product()
        while sign := self._took("+", "-"):
            left = self._apply(sign, left, self._product())
        return left

    def _product(self) -> int:
        left = self._signed()
        while sign := self._took("*", "/"):
            left = self._apply(sign, left, self._signed())
        return left

    def _signed(self) -> int:
        self._go_deeper()
        sign = self._took("-", "+")
        inner = self._signed() if sign else self._power()
        self._depth -= 1
        return self._apply("negative", inner) if sign == "-" else inner

    def _power(self) -> int:
        base = self._atom()
        return self._apply("power", base, self._signed()) if self._took("**", "^") else base

    def _atom(self) -> int:
        token = self._next
        if token.kind == "number":
            self._at += 1
            return self._number(token)
        if token.kind == "name":
            self._at += 1
            return self._named(token)
        if not self._took("("):
            raise self._unexpected("a number, a name or '('")
        inner = self._sum()
        self._expect(")")
        return inner

    def _number(self, token: Token) -> int:
        self._count()
        value = float(token.text)
        if not math.isfinite(value):
            raise refusal(
                f"{quoted(token.text)} is too large.",
                given=token.text,
                allowed="up to 1e308",
                place=token.place,
            )
        return self.list.number(value, is_plain=value.is_integer())

    def _named(self, token: Token) -> int:
        if token.text in _FUNCTIONS:
            return self._call(token)
        if self._next.kind == "sign" and self._next.text == "(":
            raise refusal(
                f"{quoted(token.text)} is no function of a formula.",
                given=token.text,
                allowed=", ".join(FUNCTION_NAMES),
                place=token.place,
            )
        self._count()
        if token.text in _CONSTANTS:
            return self.list.number(_CONSTANTS[token.text])
        return self.list.name(token.text)

    def _call(self, token: Token) -> int:
        self._expect("(")
        arguments = [self._sum()]
        while self._took(","):
            arguments.append(self._sum())
        self._expect(")")
        kind = _FUNCTIONS[token.text]
        wanted = OPERATIONS[kind].arguments
        if len(arguments) < wanted or (len(arguments) > wanted and kind not in _SEVERAL):
            allowed = f"{wanted} or more" if kind in _SEVERAL else f"{wanted}"
            raise refusal(
                f"{token.text} takes {allowed} arguments, not {len(arguments)}.",
                given=token.text,
                allowed=allowed,
                place=token.place,
            )
        if wanted == 1:
            return self._apply(kind, arguments[0])
        result = arguments[0]
        for argument in arguments[1:]:
            result = self._apply(kind, result, argument)
        return result
