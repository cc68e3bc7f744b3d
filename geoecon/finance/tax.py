"""Income tax of one project: losses, and one credit. Rates and limits come in; no law is written here."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats, over_years, total
from geoecon.finance.depreciation import depreciate
from geoecon.finance.streams import Streams


@dataclass(frozen=True)
class Credit:
    """One credit: earned as a share of capital when service begins, or per MWh for some years.

    use : own (against tax), sold (at `sale_price`), cash (paid out in full)
    rate : (scenario,) of eligible capital  [1];  basis_cut : (scenario,) of the credit, off the basis  [1]
    per_mwh : (scenario,) nominal, operating year 1  [money/MWh];  growth : (scenario,)  [1/yr];  years : with it  [yr]
    """

    use: str
    rate: Floats
    basis_cut: Floats
    per_mwh: Floats
    growth: Floats
    years: int
    sale_price: Floats


@dataclass(frozen=True)
class TaxTerms:
    """What the tax rules come to for one project.

    rate : (scenario,)  [1];  shares : tax class -> shares of the basis by year of service
    carried : whether losses wait for later profits, or serve the owner at once against other income
    loss_limit : (scenario,) of a year's profit that carried losses may offset  [1]
    """

    rate: Floats
    shares: Mapping[str, Floats]
    carried: bool
    loss_limit: Floats
    credit: Credit | None


@dataclass(frozen=True)
class TaxBase:
    """What is deducted and credited before anything is known of price, (year, scenario)  [money]."""

    depreciation_unlevered: Floats
    depreciation_levered: Floats
    credit: Floats


def credit_earned(streams: Streams, credit: Credit | None) -> Floats:
    """Credit earned in each year, at par, (year, scenario)  [money]."""
    earned = np.zeros_like(streams.energy)
    if credit is None:
        return earned
    eligible = [amount for name, amount in streams.capital.items() if streams.accounts[name].earns_credit]
    capital = over_years(total(eligible, earned.shape)) * (1 - _grant_share(streams))
    earned[streams.first] += credit.rate * capital
    stop = min(streams.first + credit.years, len(earned))
    age = np.arange(stop - streams.first).reshape(-1, 1)
    earned[streams.first : stop] += credit.per_mwh * (1 + credit.growth) ** age * streams.energy[streams.first : stop]
    return earned


def tax_base(streams: Streams, terms: TaxTerms, financing_cost: Floats) -> TaxBase:
    """Depreciation without and with the cost of financing while building, and the credit.

    financing_cost : (year, scenario)  interest and fees of build years; they join the basis of what is built, in
        proportion to its classes (a simplification for fees, which some rules spread over the loan)  [money]
    """
    credit = credit_earned(streams, terms.credit)
    bases = _bases(streams, terms, credit)
    shape, first = streams.energy.shape, streams.first
    unlevered = total((depreciate(basis, terms.shares[name], first) for name, basis in bases.items()), shape)
    built = over_years(total((basis[:first] for basis in bases.values()), (first, shape[1])))
    with np.errstate(invalid="ignore", divide="ignore"):
        share = {n: np.where(built > 0, over_years(b[:first]) / built, 0.0) for n, b in bases.items()}
    levered = unlevered + total(
        (depreciate(financing_cost * share[name], terms.shares[name], first) for name in bases), shape
    )
    return TaxBase(unlevered, levered, credit)


def _grant_share(streams: Streams) -> Floats:
    capital, grant = over_years(streams.initial), over_years(streams.grant)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(capital > 0, grant / capital, 0.0)


def _bases(streams: Streams, terms: TaxTerms, credit: Floats) -> dict[str, Floats]:
    """Capital to be depreciated by tax class: a grant takes its share off, an investment credit its cut."""
    bases: dict[str, Floats] = {}
    kept = 1 - _grant_share(streams)
    cut = terms.credit.rate * terms.credit.basis_cut if terms.credit else np.zeros_like(kept)
    for name, amount in streams.capital.items():
        share = kept * (1 - cut) if streams.accounts[name].earns_credit else kept
        _add(bases, streams.accounts[name].tax_class, amount * share)
    for name, amount in streams.sustaining.items():
        _add(bases, streams.accounts[name].tax_class, amount)
    return {name: basis for name, basis in bases.items() if name in terms.shares}


def _add(bases: dict[str, Floats], name: str, amount: Floats) -> None:
    bases[name] = bases[name] + amount if name in bases else amount


def income_tax(profit: Floats, credit: Floats, terms: TaxTerms) -> Floats:
    """Tax that the owner pays each year, credits netted; negative where money comes back.

    profit : (year, scenario)  taxable before losses of earlier years  [money];  credit : (year, scenario), at par
    returns : (year, scenario)  [money]

    Carried losses offset at most `loss_limit` of a year's profit and never expire; a credit of one's own waits for tax
    in the same way. Losses and credits used at once assume other income of the owner.

    >>> terms = TaxTerms(np.array([0.35]), {}, False, np.array([1.0]), None)
    >>> income_tax(np.array([[1.40], [-1.0]]), np.zeros((2, 1)), terms).ravel()
    array([ 0.49, -0.35])
    """
    use = terms.credit.use if terms.credit else "own"
    if use != "own":
        worth = terms.credit.sale_price if terms.credit and use == "sold" else 1.0
        return _tax_before_credit(profit, terms) - credit * worth
    if not terms.carried:
        return _tax_before_credit(profit, terms) - credit
    due = _tax_before_credit(profit, terms)
    if not credit.any():
        return due
    waiting = np.zeros_like(due[0])
    paid = np.empty_like(due)
    for row in range(len(due)):
        waiting = waiting + credit[row]
        used = np.minimum(waiting, due[row])
        waiting = waiting - used
        paid[row] = due[row] - used
    return paid


def _tax_before_credit(profit: Floats, terms: TaxTerms) -> Floats:
    if not terms.carried:
        return terms.rate * profit
    taxed = np.maximum(profit, 0.0)
    lost = taxed - profit
    offset = terms.loss_limit * taxed
    waiting = np.zeros_like(profit[0])
    for most, more in zip(offset, lost, strict=True):
        np.minimum(waiting, most, out=most)
        waiting -= most
        waiting += more
    taxed -= offset
    taxed *= terms.rate
    return taxed
