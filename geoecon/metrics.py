"""The metrics of a pass: one number for each key of `result.METRICS`, or the reason why there is none."""

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from geoecon.arrays import Bools, Codes, Floats, over_years
from geoecon.case import Case
from geoecon.costs import BEFORE_WELLS, with_contingency
from geoecon.drilling import cost_per_well
from geoecon.energy import KW_PER_MW, MONTH_HOURS, homes
from geoecon.finance.appraisal import adjusted_rate_of_return, net_benefits, savings_to_investment_ratio
from geoecon.finance.discounting import discount_factors, present_value
from geoecon.finance.levelized import (
    levelized_cost,
    levelized_cost_after_tax,
)
from geoecon.finance.measures import (
    cover_ratios,
    life_cover,
    modified_rate_of_return,
    payback,
    rate_of_return,
)
from geoecon.finance.owners import times_interest_earned
from geoecon.finance.prices import levelized_price
from geoecon.finance.reasons import Reason
from geoecon.passed import Pass
from geoecon.plant.stated import StatedPlant
from geoecon.preparing.basics import wide
from geoecon.preparing.climate import air_above_design, monthly_sink
from geoecon.preparing.field import drilling_success
from geoecon.preparing.plants import plant_map
from geoecon.pricing import price_in_words
from geoecon.reservoir import path_in_words
from geoecon.steaming import own_emission
from geoecon.units import HOURS_PER_YEAR
from geoecon.wells.counts import makeup_drilled, whole
from geoecon.wells.success import expected_drilled

A_WORKED_PLANT = "a plant that is worked out; a stated one does not say how cool it leaves the brine"
AGAINST_SUPPLY = ("net_benefits", "savings_to_investment_ratio", "adjusted_rate_of_return")
BRINE_AND_FLOW = "plant.stated_brine_flow and wells.flow_per_producer"

Values = tuple[Floats, Codes] | tuple[Floats, Codes, str] | Reason
Found = Values | Callable[[], Values]  # what takes long is worked out only when somebody looks at it


def _exists(values: Floats, reason: Reason = Reason.NOT_GIVEN) -> tuple[Floats, Codes]:
    """Values with the reason wherever they are NaN."""
    return values, np.isnan(values) * np.uint8(reason)


def _needs(what: str) -> tuple[Floats, Codes, str]:
    """No value, because the case does not give what it takes."""
    return np.array([np.nan]), np.array([Reason.NOT_GIVEN], dtype=np.uint8), f"needs {what}"


def metrics_of(passed: Pass) -> Iterator[tuple[str, Found]]:
    """Each key of `result.METRICS` with what was found for it, or how to find it: values and codes, or a reason."""
    yield from _size_metrics(passed)
    yield from _energy_metrics(passed)
    yield from _cost_metrics(passed)
    yield from _price_metrics(passed)
    yield from _value_metrics(passed)
    yield from _appraisal_metrics(passed)
    yield from _debt_metrics(passed)
    yield from _owner_metrics(passed)
    yield from _community_metrics(passed)


def _size_metrics(passed: Pass) -> Iterator[tuple[str, Found]]:
    design, case = passed.design, passed.case
    yield "gross_capacity", _exists(design.gross_kw / KW_PER_MW)
    yield "plant_net_capacity", _exists(design.plant_net_kw / KW_PER_MW)
    yield "net_capacity", _exists(design.net_kw / KW_PER_MW)
    yield "well_pump_power", _exists((design.production_kw + design.injection_kw) / KW_PER_MW)
    yield (
        "summer_capacity",
        lambda: _exists(np.minimum(_in_hottest_month(passed), passed.running.limit_kw) / KW_PER_MW),
    )
    brine = _exists(design.brine_flow)
    yield "brine_flow", brine if not np.isnan(design.brine_flow).all() else _needs("plant.stated_brine_flow")
    known = not np.isnan(design.injection).all()
    yield "injection_temperature", _exists(design.injection) if known else _needs(A_WORKED_PLANT)
    yield "last_brine_temperature", _last_brine(passed)
    wells = design.wells
    counts = ("producers", "injectors", "drilled") if wells else ()
    for name, values in zip(("producers", "injectors", "wells_drilled"), counts, strict=False):
        yield name, _exists(getattr(wells, values))
    if wells is None or passed.field.plan is None:
        yield "producers", _existing(case.wells.existing_producers)
        yield "injectors", _existing(case.wells.existing_injectors)
        yield "wells_drilled", _needs(BRINE_AND_FLOW)
        yield "makeup_wells", _needs(BRINE_AND_FLOW)
        return
    success = wide(case, case.wells.success if case.wells.success_makeup is None else case.wells.success_makeup)
    each = makeup_drilled(case.wells.producers_per_injector, success)
    yield "makeup_wells", _exists(over_years(passed.field.plan.added) * each)


def _last_brine(passed: Pass) -> Found:
    """Brine at the plant's inlet in the last operating year, with how the field cools."""
    case, field = passed.case, passed.field
    if case.resource.temperature is None:
        return _needs("resource.temperature")
    values, codes = _exists(field.brine[-1])
    return values, codes, path_in_words(case, field.taken) if case.scenarios == 1 else ""


def _in_hottest_month(passed: Pass) -> Floats:
    """Unit net with design brine at the mean air of the hottest month, (scenario,)  [kW]."""
    case, plant = passed.case, passed.design.plant
    if isinstance(plant, StatedPlant):
        warmer = air_above_design(case)
        means = warmer.mean(axis=1)
        return np.asarray(np.minimum.reduce([plant.in_weather(m, means[m]) for m in range(len(MONTH_HOURS))]))
    design, hottest = passed.design, monthly_sink(case).max(axis=0)
    powers = plant_map(case, plant, design.inlet, passed.field.brine)
    net = powers.at(design.inlet, hottest)[1] * case.plant.performance_factor
    return np.asarray(net * design.brine_flow - design.production_kw - design.injection_kw)


def _existing(count: int) -> Found:
    """Wells that exist, where no brine flow tells how many are needed."""
    return _exists(np.array([float(count)])) if count else _needs(BRINE_AND_FLOW)


def _energy_metrics(passed: Pass) -> Iterator[tuple[str, Found]]:
    yield "first_year_energy", _exists(passed.delivered[0])
    yield "lifetime_energy", _exists(over_years(passed.delivered))
    yield "lowest_month_energy", _exists(passed.ledger.monthly.min(axis=0))
    yield "curtailed_energy", _exists(passed.ledger.steps["curtailment"][0])
    net, capacity = passed.ledger.steps["unit_net"][0], passed.design.net_kw / KW_PER_MW
    yield "net_capacity_factor", _exists(_over(net, capacity * HOURS_PER_YEAR))


def _over(above: Floats, below: Floats) -> Floats:
    """A ratio; NaN or infinite where no plant is possible, so that nothing is below."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return above / below


def _cost_metrics(passed: Pass) -> Iterator[tuple[str, Found]]:
    financing, case = passed.financing, passed.case
    capital = sum(passed.purchases.values(), start=wide(case, 0.0))
    yield "capital_cost", _exists(capital)
    yield "capital_cost_per_kw", _exists(_over(capital, passed.design.net_kw))
    yield "capital_at_risk", _exists(_at_risk(passed))
    yield "interest_during_construction", _exists(over_years(financing.loan.interest[: passed.first]))
    yield "debt", _exists(financing.loan.amount)
    yield "equity", _exists(financing.equity)
    operating = financing.streams.fixed_operating
    yield "first_year_operating_cost", _exists(operating[passed.first] / passed.index[passed.first])
    yield "wacc", _exists(passed.rates.wacc)
    yield "life_cycle_cost", lambda: _exists(passed.life_cycle_cost)


def _at_risk(passed: Pass) -> Floats:
    """Bought before wells, and producers drilled until one succeeds where none exists; with contingency, (scenario,)."""
    case = passed.case
    early = sum((passed.purchases[name] for name in BEFORE_WELLS if name in passed.purchases), start=wide(case, 0.0))
    if passed.design.wells is None or case.wells.existing_producers:
        return early
    tries = 1 + (expected_drilled(wide(case, 1.0), drilling_success(case)) - 1) * case.wells.dry_hole_cost
    first = with_contingency({"wells": cost_per_well(case)[0] * tries}, case.capital.contingency or {})["wells"]
    return early + np.where(passed.design.wells.new_producers > 0, first, 0.0)


def _price_metrics(passed: Pass) -> Iterator[tuple[str, Found]]:
    financing, rate = passed.financing, passed.rates.discount
    streams, ones = financing.streams, passed.ones
    real = levelized_cost(streams, rate, passed.index)
    yield "lcoe_real", _exists(real, Reason.NO_ENERGY)
    yield "lcoe_nominal", _exists(passed.lcoe_nominal, Reason.NO_ENERGY)
    yield "lcoe_after_tax_real", lambda: levelized_cost_after_tax(financing, rate, passed.index, real)
    yield "lcoe_after_tax_nominal", lambda: levelized_cost_after_tax(financing, rate, ones, passed.lcoe_nominal)
    yield "required_price", lambda: (passed.required.value, passed.required.codes, _required_note(passed))
    for name, index in (("price_levelized_nominal", ones), ("price_levelized_real", passed.index)):
        yield name, partial(_levelized_price, passed, index) if passed.has_price else Reason.NO_PRICE


def _levelized_price(passed: Pass, index: Floats) -> Values:
    streams = passed.financing.streams
    return _exists(levelized_price(passed.statement.price, streams.energy, passed.rates.discount, streams.times, index))


def _required_note(passed: Pass) -> str:
    """The condition that binds the required price of a single case, the growth it assumes, and cover at it."""
    required = passed.required
    if passed.case.scenarios > 1 or required.codes[0] not in (Reason.NONE, Reason.NO_PRICE_IN_REACH):
        return ""
    binds = required.conditions[int(required.binds[0])]
    if required.codes[0]:
        return (
            f"what stays short at any of them is {binds}{_saved_before(passed)}" if len(required.conditions) > 1 else ""
        )
    grows = price_in_words(passed.case) if passed.has_price else "the same nominal price over the life"
    cover = float(required.cover[0])
    debt = f"; least cover of debt service {cover:.2f} times" if np.isfinite(cover) else ""
    return f"set by {binds}; {grows}{debt}"


def _saved_before(passed: Pass) -> str:
    """What helps where the cost of closing is what no price of the term pays for in the last year."""
    required, streams = passed.required, passed.financing.streams
    last = required.conditions[int(required.binds[0])].endswith(f"year {len(streams.energy) - passed.first}")
    if not last or passed.financing.terms.fund_years or not streams.decommissioning.any():
        return ""
    return ", in which decommissioning is paid; capital.decommissioning_fund_years saves for it before"


def _value_metrics(passed: Pass) -> Iterator[tuple[str, Found]]:
    names = ("npv", "npv_at_decision", "irr_project", "npv_equity", "irr_equity", "mirr", "payback",
             "payback_whole_years", "discounted_payback", "profitability_index")  # fmt: skip
    if not passed.has_price:
        yield from ((name, Reason.NO_PRICE) for name in names)
        return
    streams, statement, rate, times = (
        passed.financing.streams,
        passed.statement,
        passed.rates.discount,
        passed.when.times,
    )
    npv = present_value(statement.cash_flow_project, rate, times)
    yield "npv", _exists(npv)
    yield (
        "npv_at_decision",
        _exists(npv * (1 + rate) ** (_decision_year(passed.case) - passed.case.timeline.first_year + 1)),
    )
    flows = statement.cash_flow_project
    yield "irr_project", lambda: rate_of_return(flows, times)[:2]
    yield "mirr", lambda: modified_rate_of_return(flows, rate, rate, times)
    yield "payback", lambda: passed.payback
    yield "payback_whole_years", lambda: (whole(passed.payback[0]), passed.payback[1])
    yield "discounted_payback", lambda: payback(flows * discount_factors(rate, times), passed.first)
    capital = present_value(streams.initial, rate, times)
    with np.errstate(invalid="ignore", divide="ignore"):
        yield "profitability_index", _exists(np.where(capital > 0, 1 + npv / capital, np.nan), Reason.NO_INVESTMENT)
    put_in = passed.financing.equity > 0
    equity = present_value(statement.cash_flow_equity, passed.rates.equity, times)
    yield "npv_equity", _exists(equity)
    yield "irr_equity", lambda: _return_on_equity(statement.cash_flow_equity, times, put_in)


def _return_on_equity(flows: Floats, times: Floats, put_in: Bools) -> Values:
    """The owner's return; who puts nothing in needs none, unless later years take more from it than they give."""
    rate, codes, _ = rate_of_return(flows, times)
    nothing = np.where(over_years(flows) < 0, Reason.NEVER_EARNS, Reason.NO_EQUITY)
    return rate, np.where(put_in, codes, nothing).astype(np.uint8)


def _appraisal_metrics(passed: Pass) -> Iterator[tuple[str, Found]]:
    """Against the supply that is replaced, whose price is the same in price-year money for the whole life."""
    now = passed.case.community.current_price
    if now is None:
        needed = _needs("community.current_price, what the supply replaced costs now")
        yield from ((name, needed) for name in AGAINST_SUPPLY)
        return
    rate, times, invested, running = passed.rates.discount, passed.when.times, passed.invested, passed.running_cost
    spared = passed.financing.streams.energy * passed.index * now
    yield "net_benefits", _exists(net_benefits(spared, invested + running, rate, times))
    ratio, codes = savings_to_investment_ratio(spared - running, invested, rate, times)
    yield "savings_to_investment_ratio", (ratio, codes)
    adjusted = adjusted_rate_of_return(ratio, rate, passed.when.operating_years)
    yield "adjusted_rate_of_return", (adjusted, np.where(ratio < 0, Reason.NEVER_EARNS, codes).astype(np.uint8))


def _decision_year(case: Case) -> int:
    stated = case.timeline.decision_year
    return stated if stated is not None else case.timeline.first_year - case.timeline.build_years


def _debt_metrics(passed: Pass) -> Iterator[tuple[str, Found]]:
    names = ("dscr_min", "dscr_mean", "llcr", "plcr")
    loan, statement = passed.financing.loan, passed.statement
    none = loan.amount <= 0
    if none.all() or not passed.has_price:
        codes = np.where(none, Reason.NO_DEBT, Reason.NO_PRICE).astype(np.uint8)
        yield from ((name, (np.full(codes.shape, np.nan), codes)) for name in names)
        return
    terms = passed.financing.terms.loan
    years = terms.years + (terms.refinancing.years if terms.refinancing else 0)
    rows = slice(passed.first, passed.first + years)
    cover = cover_ratios(statement.cfads, loan.service)[rows]
    yield "dscr_min", _exists(np.where(none, np.nan, cover.min(axis=0)), Reason.NO_DEBT)
    yield "dscr_mean", _exists(np.where(none, np.nan, over_years(cover) / len(cover)), Reason.NO_DEBT)
    for name, counted in (("llcr", loan.service > 0), ("plcr", passed.financing.running)):
        yield name, partial(_life_cover, passed, counted)


def _life_cover(passed: Pass, counted: Bools) -> Values:
    loan, rate = passed.financing.loan, passed.financing.terms.loan.rate
    return _exists(life_cover(passed.statement.cfads, loan, rate, counted)[passed.first], Reason.NO_DEBT)


def _owner_metrics(passed: Pass) -> Iterator[tuple[str, Found]]:
    """What lenders to a cooperative, a utility and a council look at."""
    financing = passed.financing
    none = financing.loan.amount <= 0
    if none.all() or not passed.has_price:
        codes = np.where(none, Reason.NO_DEBT, Reason.NO_PRICE).astype(np.uint8)
        yield "tier_min", (np.full(codes.shape, np.nan), codes)
    else:
        yield "tier_min", lambda: _interest_earned(passed)
    required = passed.requirement
    if required is None:
        yield "revenue_requirement_levelized", _needs('project.owner = "utility"')
    else:
        yield "revenue_requirement_levelized", _exists(required.levelized(financing.streams), Reason.NO_ENERGY)
    yield "total_commitment", (lambda: _exists(passed.commitment)) if passed.has_price else Reason.NO_PRICE


def _interest_earned(passed: Pass) -> Values:
    """Least times that interest is earned in a year, (scenario,)."""
    financing = passed.financing
    cash = passed.statement.cfads + financing.sustaining_from_cash
    earned = times_interest_earned(financing.streams, financing.loan, cash)
    least = np.nan_to_num(earned, nan=np.inf).min(axis=0)
    return _exists(np.where(np.isfinite(least), least, np.nan), Reason.NO_DEBT)


def _community_metrics(passed: Pass) -> Iterator[tuple[str, Found]]:
    case, years = passed.case, passed.when.operating_years
    mean = over_years(passed.delivered) / years
    low, high = homes(passed.delivered[0], mean, case.community.distribution_loss, *passed.household_use)
    yield "homes_low", _exists(low)
    yield "homes_high", _exists(high)
    yield from _local_supply(passed, mean)
    factor = case.site.grid_emission_factor
    if factor is None:
        yield "co2_avoided", _needs("site.grid_emission_factor")
        return
    design = passed.design
    own = own_emission(case, design.plant, design.net_kw, design.brine_flow)
    yield "co2_avoided", _exists(mean * (factor if own is None else factor - own) / 1000)


def _local_supply(passed: Pass, mean: Floats) -> Iterator[tuple[str, Found]]:
    """Share of the local load, fuel that is replaced and fuel that is still burned, in price-year money."""
    community = passed.case.community
    load = None if community.local_load is None else sum(community.local_load)
    use, price = community.displaced_fuel_use, community.displaced_fuel_price
    no_fuel = _needs("community.displaced_fuel_use and community.displaced_fuel_price")
    if load:
        yield "local_load_share", _exists(np.minimum(passed.delivered[0] / load, 1.0))
    else:
        yield "local_load_share", _needs("community.local_load")
    if use is None or price is None:
        yield from ((name, no_fuel) for name in ("fuel_replaced", "fuel_replaced_value", "fuel_still_burned_value"))
        return
    replaced = mean if load is None else np.minimum(mean, load)
    yield "fuel_replaced", _exists(replaced * use)
    yield "fuel_replaced_value", _exists(replaced * use * price)
    rest = _needs("community.local_load") if load is None else _exists((load - replaced) * use * price)
    yield "fuel_still_burned_value", rest
