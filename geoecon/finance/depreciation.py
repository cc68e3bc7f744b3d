"""Depreciation for tax: shares of the basis by year, by the rule behind the printed tables, and their use on vintages."""

import numpy as np

from geoecon.arrays import Floats, column, over_years

FIRST_YEAR_SHARE = {
    "full-year": 1.0,
    "half-year": 0.5,
    "mid-quarter-1": 0.875,
    "mid-quarter-2": 0.625,
    "mid-quarter-3": 0.375,
    "mid-quarter-4": 0.125,
}
MACRS_YEARS = (3, 5, 7, 10, 15, 20)


def straight_line(years: int, convention: str = "full-year") -> Floats:
    """Equal shares over the recovery period; a part of the first year moves to one year more at the end.

    years : recovery period  [yr];  returns shares by year, sum 1

    >>> straight_line(5, "half-year").round(4)
    array([0.1, 0.2, 0.2, 0.2, 0.2, 0.1])
    """
    first = FIRST_YEAR_SHARE[convention]
    shares = np.full(years + (first < 1), 1 / years)
    shares[0] *= first
    shares[-1] = 1 - shares[:-1].sum()
    return shares


def macrs(years: int, convention: str = "half-year") -> Floats:
    """Shares of the basis by year under the United States' accelerated system.

    years : recovery period, one of 3, 5, 7, 10 (200 % declining balance), 15, 20 (150 %)
    convention : half-year, or the quarter of service for mid-quarter
    returns : shares by year, sum 1, unrounded; the printed tables round to 0.01 % (20 years: 0.001 %) and then adjust
        the last digits so that they sum to 100

    Declining balance with a part first year, straight line over what is left of the period once that is more.
    Source: IRS Publication 946, appendix A (Rev. Proc. 87-57).

    >>> (macrs(5) * 100).round(2)
    array([20.  , 32.  , 19.2 , 11.52, 11.52,  5.76])
    """
    if years not in MACRS_YEARS:
        raise ValueError(f"{years} years is no class; there are {', '.join(map(str, MACRS_YEARS))}")
    first = FIRST_YEAR_SHARE[convention]
    rate = (2.0 if years <= 10 else 1.5) / years
    shares = np.zeros(years + (first < 1))
    book = 1.0
    for year in range(len(shares)):
        gone = 0.0 if year == 0 else year - 1 + first
        part = first if year == 0 else min(1.0, years - gone)
        declining = book * rate * (first if year == 0 else 1.0)
        line = book / (years - gone) * part
        shares[year] = min(book, max(declining, line))
        book -= shares[year]
    return shares


def with_bonus(shares: Floats, bonus: float) -> Floats:
    """Shares by year with a part of the basis deducted in the first year and the rest as before; the sum stays 1.

    >>> (with_bonus(macrs(5), 0.5) * 100).round(2)
    array([60.  , 16.  ,  9.6 ,  5.76,  5.76,  2.88])
    """
    moved = (1 - bonus) * shares
    moved[0] += bonus
    return moved


METHODS = {"straight-line": straight_line, "macrs": macrs}


def depreciate(spent: Floats, shares: Floats, first: int) -> Floats:
    """Yearly depreciation of what is spent in each year.

    spent : (year, scenario)  [money];  shares : by year of service, sum 1;  first : row of operating year 1
    returns : (year, scenario)  [money], zero before operation

    What is bought up to year 0 enters service in operating year 1, later purchases in the year after their own. What
    is left at the end of the life is written off in the last year, so that all of it is deducted.
    """
    taken = np.zeros_like(spent)
    last = len(spent) - 1
    vintages = [(first, over_years(spent[:first]))]
    vintages += [(min(row + 1, last), spent[row]) for row in range(first, last + 1) if spent[row].any()]
    for start, amount in vintages:
        within = shares[: last - start + 1]
        taken[start : start + len(within)] += column(within) * amount
        taken[last] += amount * max(0.0, 1.0 - float(within.sum()))
    return taken


def book_depreciation(capitalised: Floats, first: int) -> Floats:
    """Book value written off in equal parts over the operating years, (year, scenario)  [money].

    capitalised : (year, scenario) what joins the book value;  first : row of operating year 1

    A later purchase is written off over the years after its own, or at once in the last.

    >>> book_depreciation(np.array([[90.0], [10.0], [0.0], [4.0]]), 1).ravel()
    array([ 0., 30., 35., 39.])
    """
    last = len(capitalised) - 1
    written_off = np.zeros_like(capitalised)
    written_off[first:] = over_years(capitalised[:first]) / (last + 1 - first)
    for row in range(first, last):
        if capitalised[row].any():
            written_off[row + 1 :] += capitalised[row] / (last - row)
    written_off[last] += capitalised[last]
    return written_off
