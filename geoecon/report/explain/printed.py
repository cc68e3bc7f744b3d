"""Arithmetic as it is printed, and as it is worked out again from what is printed."""

import ast
import math
import operator
from collections.abc import Callable, Sequence
from dataclasses import replace

from geoecon.report.explain.facts import Term, Working
from geoecon.report.words import significant

TERM_DIGITS, VALUE_DIGITS = (10, 12, 15), (6, 5, 4, 3)
CLOSE = 1e-8


def in_numbers(working: Working, value: float, unit: str) -> tuple[str, str, Sequence[Term]] | None:
    """The line with printed numbers, the printed value, and the terms as printed; None where they do not agree."""
    aim = 1.0 if working.closes else value
    for few in VALUE_DIGITS:
        for many in TERM_DIGITS:
            numbers = _filled(working, many)
            if in_digits(arithmetic(numbers), few) == in_digits(aim, few):
                shown = in_digits(value, few)
                ends = "1" if working.closes else with_unit(shown, unit)
                terms = [replace(t, said=t.said or in_digits(t.value, many)) for t in working.terms]
                return f"= {numbers} = {ends}", shown, terms
    return None


def _filled(working: Working, digits: int) -> str:
    """The formula with numbers in the place of labels, a negative one in parentheses."""
    texts = {term.label: in_digits(term.value, digits) for term in working.terms}
    numbers = {label: f"({text})" if text.startswith("-") else text for label, text in texts.items()}
    return working.formula.format_map(numbers)


def gives(working: Working, value: float) -> bool:
    """Whether a formula comes to a value."""
    return abs(arithmetic(_filled(working, 15)) - value) <= CLOSE * abs(value)


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
