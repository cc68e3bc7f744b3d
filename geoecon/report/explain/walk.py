"""From a metric to its explanation, down to inputs and their sources."""

import difflib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from geoecon.errors import GeoeconError
from geoecon.report.explain.facts import BORROWING, DISCOUNT, Facts, Term
from geoecon.report.explain.printed import in_digits, in_numbers, with_unit
from geoecon.report.explain.registry import EXPLAINED
from geoecon.result import METRICS, Assumption, Result

# What only one kind of credit asks for, what any asks for, and what has no part unless it is set.
CREDIT_OF = {
    "credit_rate": "investment", "credit_basis_cut": "investment", "credit_amount": "production",
    "credit_growth": "production", "credit_years": "production",
}  # fmt: skip
ANY_CREDIT = (
    "credit_",
    "construction_begins",
    "wage_rules",
    "exempt_bonds",
    "energy_community",
    "domestic_content",
    "content_exception",
)
UNLESS_SET = (
    "holiday_years", "intangible_share", "exempt_bonds", "energy_community", "domestic_content", "content_exception",
    "interest_limited",
)  # fmt: skip
NO_LINE = "the formula above does not give the value for this case, as with a design that was made for another one"


class UnknownMetricError(GeoeconError, LookupError):
    """A metric is asked for that there is not; the text names the nearest one."""


@dataclass(frozen=True)
class Explanation:
    """A metric of one case, down to inputs.

    formula, line : the arithmetic, in words and with its numbers and result; empty where `reason` says why, and for a
        rate, which is only found by search
    check, check_line : what is left when a number found by search is put back, in the same way; empty for all others
    inputs : what it rests on itself;  below : the metrics it rests on, each of the whole tree once
    """

    metric: str
    meaning: str
    unit: str
    basis: str
    words: str
    terms: tuple[Term, ...]
    formula: str
    line: str
    check: str
    check_line: str
    value: str
    reason: str
    note: str
    inputs: tuple[Assumption, ...]
    below: tuple["Explanation", ...]

    def as_json(self) -> dict[str, Any]:
        """The explanation as plain objects."""
        own = vars(self) | {
            "terms": [vars(term) | {"rests_on": list(term.rests_on)} for term in self.terms],
            "inputs": [vars(row) for row in self.inputs],
            "below": [other.as_json() for other in self.below],
        }
        return dict(own)


def known(metric: str) -> str:
    """The metric, if there is one of this name. Raises `UnknownMetricError` that names the nearest one."""
    if metric in EXPLAINED:
        return metric
    near = difflib.get_close_matches(metric, EXPLAINED, n=1, cutoff=0.5)
    hint = f"did you mean {near[0]!r}?" if near else f"there are: {', '.join(EXPLAINED)}"
    raise UnknownMetricError(f"there is no metric {metric!r}; {hint}")


def explain(result: Result, metric: str) -> Explanation:
    """How a metric of a single case comes about, and below it how every metric that it rests on does.

    Raises `UnknownMetricError` for an unknown metric and `ValueError` where there are several scenarios.
    """
    facts, order = Facts(result), [known(metric)]
    own: dict[str, Explanation] = {}
    below: dict[str, list[str]] = {}
    for name in order:  # grows while it is walked: the nearest first, each once
        own[name] = _alone(facts, name)
        below[name] = [other for other in _rests_on(own[name].terms) if other in METRICS and other not in order]
        order += below[name]

    def whole_tree(name: str) -> Explanation:
        return replace(own[name], below=tuple(whole_tree(other) for other in below[name]))

    return whole_tree(metric)


def listing(found: Explanation, asked: str) -> Iterator[tuple[str, list[str]]]:
    """The explanation as groups of lines, each under a heading.

    asked : what follows the metric on the command line, for the commands that lead on
    """
    about = f"{found.meaning}; in {found.unit}" if found.unit != "1" else found.meaning
    value = found.reason if found.value == "none" else with_unit(found.value, found.unit)
    yield f"{found.metric}: {value}", [f"{about}{'; ' if found.basis else ''}{found.basis}", "", found.words]
    if found.note:
        yield "", [f"here: {found.note}"]
    if found.terms:
        yield "With the numbers of this case", [*_aligned(found.terms), *_arithmetic(found)]
    elif found.value != "none":
        yield "", [f"  {found.reason}"]
    if found.inputs:
        rows = [
            f"  {row.path} = {with_unit(row.value, row.unit)}  ({row.source}; {row.evidence})" for row in found.inputs
        ]
        yield "Inputs it rests on", rows
    if found.below:
        yield "Metrics it rests on, each once", list(_lines_below(found, asked, 1))


def _arithmetic(found: Explanation) -> Iterator[str]:
    if found.line:
        yield f"  {found.metric} = {found.formula}"
        yield f"  {found.line}"
    if found.check_line:
        yield f"  put back: {found.check}"
        yield f"  {found.check_line}"


def _aligned(terms: Sequence[Term]) -> list[str]:
    wide, right = max(len(term.label) for term in terms), max(len(term.said) for term in terms)
    return [
        f"  {term.label:<{wide}}  {term.said:>{right}} {'' if term.unit == '1' else term.unit}".rstrip()
        for term in terms
    ]


def _lines_below(found: Explanation, asked: str, depth: int) -> Iterator[str]:
    """One line for each metric below, further in with every step down."""
    for other in found.below:
        value = "none" if other.value == "none" else with_unit(other.value, other.unit)
        yield f"{'  ' * depth}{other.metric} = {value}  (geoecon explain {other.metric} {asked})"
        yield from _lines_below(other, asked, depth + 1)


def _rests_on(terms: Iterable[Term]) -> list[str]:
    """Metrics and paths under some terms, each once, in order."""
    return list(dict.fromkeys(name for term in terms for name in term.rests_on))


def _alone(facts: Facts, name: str) -> Explanation:
    """The explanation of a metric without those below it."""
    metric = facts.result.metrics[name]
    value = facts.value(name)
    basis = ", ".join(words for words in (metric.basis, metric.point) if words != "none")
    bare = Explanation(
        name, METRICS[name].meaning, metric.unit, basis, EXPLAINED[name].words, (), "", "", "", "", "none",
        metric.reason_at(0), metric.note, (), (),
    )  # fmt: skip
    if metric.codes[0]:
        return replace(bare, note="")
    working = EXPLAINED[name].work(facts)
    said = in_numbers(working, value, metric.unit)
    if said is None:
        return replace(bare, value=in_digits(value, 6), reason=NO_LINE)
    kept = tuple(replace(term, rests_on=tuple(_with_a_part(facts, term.rests_on))) for term in said.terms)
    inputs = [row for path in _rests_on(kept) for row in _rows(facts, path)]
    check = f"{working.check.left} = {_in_words(working.check.formula)}" if working.check else ""
    return replace(
        bare, terms=kept, formula=_in_words(working.formula), line=said.line, check=check, check_line=said.check,
        value=said.value, inputs=tuple(inputs),
    )  # fmt: skip


def _in_words(formula: str) -> str:
    return formula.replace("{", "").replace("}", "")


def _with_a_part(facts: Facts, names: Iterable[str]) -> Iterator[str]:
    """What has a part in this case, and what it leads to; not what does not exist, nor what a loan or a tax leaves idle."""
    for name in names:
        if name in METRICS:
            idle = bool(facts.result.metrics[name].codes[0])
        else:
            idle = not facts.has(name) or (name in BORROWING and facts.value("debt") == 0)
            idle = idle or (name.startswith("tax.") and _idle_tax(facts, name)) or _idle_lease(facts, name)
        if not idle:
            yield name
            if name in DISCOUNT and facts.result.discount_origin != "stated":
                yield "wacc"
            if name in {"wells.cost_curve", "wells.rig_rate"}:
                yield "wells.depth"


def _idle_tax(facts: Facts, name: str) -> bool:
    """Whether a field of tax has no part: without tax, or for a choice the case does not make.

    Rows of a dated table that have none are not among what was assumed.
    """
    key, kind = name.removeprefix("tax.rules: ").removeprefix("tax."), facts.words("tax.credit")
    if key in UNLESS_SET and facts.words(name) in {"0", "False"}:
        return True
    if name == "tax.depletion" and facts.words(name) == "none":
        return True
    if kind == "none":
        return facts.tax_rate == 0 or key.startswith(ANY_CREDIT)
    other_kind = CREDIT_OF.get(key, kind) != kind and kind != "best"
    not_sold = key == "credit_sale_price" and facts.words("tax.credit_use") != "sold"
    return other_kind or not_sold


def _idle_lease(facts: Facts, name: str) -> bool:
    """Whether a field of what the resource costs has no part: a lease that is none, a royalty beside its own."""
    leased = facts.words("operation.lease") != "none"
    return (name == "operation.lease" and not leased) or (name == "operation.royalty" and leased)


def _rows(facts: Facts, path: str) -> list[Assumption]:
    """An input as it was used, and what was put in its place."""
    return [facts.rows[key] for key in (path, f"{path}: one well") if key in facts.rows]
