"""The books, debt and tax of a result as files and as JSON."""

from collections.abc import Mapping
from typing import Any

from geoecon.audit import checks
from geoecon.report.books import ledgers, sources_columns
from geoecon.report.checks import check_columns
from geoecon.report.financing import debt_figures, financing_columns, tax_figures
from geoecon.report.tables import Column, table_file
from geoecon.result import Result


def books_columns(result: Result) -> dict[str, Mapping[str, Column]]:
    """Every table of the books by the name of its file."""
    return {
        "sources-and-uses": sources_columns(result),
        **{name: ledger.columns for name, ledger in ledgers(result).items()},
        "debt-and-tax": financing_columns(result),
        "checks": check_columns(checks(result)),
    }


def books_files(result: Result) -> dict[str, bytes]:
    """Every table of the books as CSV: all years, exact, units in the headings."""
    return {f"{name}.csv": table_file(columns, "csv") for name, columns in books_columns(result).items()}


def books_json(result: Result) -> dict[str, Any]:
    """The books as `run --json` has them, with years, unit and basis, and debt and tax line by line."""
    return {
        "case": {"name": result.name, "hash": result.digest, "set_for_this_run": list(result.told)},
        "unit": result.currency,
        "basis": "nominal",
        "year": [int(year) for year in result.annual["year"][:, 0]],
        **result.books.as_json(),
        "debt": [vars(line) for line in debt_figures(result).lines],
        "tax": [vars(line) for line in tax_figures(result).lines],
        "checks": [check.as_json() for check in checks(result)],
    }
