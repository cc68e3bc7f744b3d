"""Percentage depletion: a share of gross income from a deposit that is deducted, within a share of income from it."""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats


@dataclass(frozen=True)
class Depletion:
    """How much may be deducted, each (scenario,)  [1].

    rate : of gross income from the property;  limit : of taxable income from the property before depletion
    property_share : part of the sale of energy that is the value of the brine at the wellhead
    """

    rate: Floats
    limit: Floats
    property_share: Floats


def depleted(terms: Depletion, sales: Floats, income: Floats) -> Floats:
    """Depletion of each year, never below zero, (year, scenario)  [money].

    sales : (year, scenario)  sales of energy net of royalty  [money]
    income : (year, scenario)  taxable income of the whole project before depletion  [money]

    The property's part of the income is taken to be as large as its part of the sales. No cost depletion is worked out
    and no basis is kept, so depletion goes on for the life.

    >>> one = np.array([1.0])
    >>> terms = Depletion(0.15 * one, 0.5 * one, one)
    >>> depleted(terms, np.array([[10.0], [10.0], [10.0]]), np.array([[2.4], [4.0], [-1.0]])).ravel()
    array([1.2, 1.5, 0. ])
    """
    return np.maximum(terms.property_share * np.minimum(terms.rate * sales, terms.limit * income), 0.0)
