"""Arithmetic as it is printed, and as it is worked out again from what is printed."""

import ast
import math
import operator
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from geoecon.report.explain.facts import Term, Working
from geoecon.report.words import significant

TERM_DIGITS, VALUE_DIGITS = (10, 12, 15), (6, 5, 4, 3)
NOTHING = 1e-8  # share of the largest number of a check below which what is left counts as nothing


@dataclass(frozen=True)
class Printed:
    """Arithmetic with printed numbers: the line of the value and that of the check, each empty where there is none."""

    line: str
    check: str
    value: str
    terms: Sequence[Term]


def in_numbers(working: Working, value: float, unit: str) -> Printed | None:
    """A working in printed numbers, with as few digits of terms as bear the digits of the value; None where none do."""
    for few in VALUE_DIGITS:
        shown = in_digits(value, few)
        for many in TERM_DIGITS:
            line, check = _line(working, many), _check(working, many)
            if (line and in_digits(arithmetic(line), few) != shown) or check is None:
                continue
            terms = [replace(t, said=t.said or in_digits(t.value, many)) for t in working.terms]
            return Printed(f"= {line} = {with_unit(shown, unit)}" if line else "", check, shown, terms)
    return None


def _line(working: Working, digits: int) -> str:
    return _filled(working.formula, working.terms, digits)


def _check(working: Working, digits: int) -> str | None:
    """The line of the check; empty without one, None where more than nothing is left."""
    if working.check is None:
        return ""
    numbers = _filled(working.check.formula, working.terms, digits)
    largest = max(abs(term.value) for term in working.terms)
    # Said this way round, because what cannot be worked out is no pass.
    return f"= {numbers} = 0 {working.check.unit}" if abs(arithmetic(numbers)) <= NOTHING * largest else None


def _filled(formula: str, terms: Sequence[Term], digits: int) -> str:
    """A formula with numbers in the place of labels, a negative one in parentheses."""
    texts = {term.label: in_digits(term.value, digits) for term in terms}
    numbers = {label: f"({text})" if text.startswith("-") else text for label, text in texts.items()}
    return formula.format_map(numbers)


def in_digits(value: float, digits: int) -> str:
    """A number with so many digits that count, no commas, no zeros at the end."""
    text = significant(value, digits).replace(",", "")
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


_OPERATIONS: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv, ast.Pow: operator.pow,
}  # fmt: skip


def arithmetic(text: str) -> float:
    """What a text of numbers and + - * / ** ( ) comes to; NaN where it cannot be worked out.

    >>> arithmetic("2 * (1 + 0.5) ** (-1)")
    1.3333333333333333
    """
    try:
        return float(_worked(ast.parse(text, mode="eval").body))
    except (ArithmeticError, SyntaxError, TypeError, ValueError):
        return math.nan


def _worked(node: ast.expr) -> float:
    if isinstance(node, ast.BinOp):
        return _OPERATIONS[type(node.op)](_worked(node.left), _worked(node.right))
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        return -_worked(node.operand)
    if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        return float(node.value)
    raise ValueError("neither a number nor arithmetic")


def with_unit(value: str, unit: str) -> str:
    return value if unit in {"", "1"} else f"{value} {unit}"
