"""Present values. Flows stand at the end of their year unless `times` says otherwise; year 0 ends at time 0."""

from geoecon.arrays import Floats, over_years, powers


def discount_factors(rate: Floats, times: Floats) -> Floats:
    """Value at the end of year 0 of 1 at each time, (1 + r) ** -t.

    rate : (scenario,)  [1/yr];  times : (year, 1)  [yr]
    returns : (year, scenario), or (year, 1) where all have the same rate  [1]
    """
    return powers(1 + rate, -times)


def present_value(flows: Floats, rate: Floats, times: Floats) -> Floats:
    """Value at the end of year 0, in money of year 0, of flows at their times.

    flows : (year, scenario)  [money];  rate : (scenario,)  [1/yr];  times : (year, 1)  [yr];  returns (scenario,)

    The first flow is discounted by its own time, which is 0 or negative before operation: a spreadsheet's NPV
    function would push it a year later.

    >>> import numpy as np
    >>> flows = np.array([[-40.0], [5.0], [8.0], [12.0], [30.0]])
    >>> present_value(flows, np.array([0.08]), np.arange(5.0).reshape(-1, 1)).round(5)
    array([3.06522])
    """
    return over_years(flows * discount_factors(rate, times))
