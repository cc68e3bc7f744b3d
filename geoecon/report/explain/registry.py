"""Every metric with its formula in words and its working."""

from geoecon.report.explain.community import (
    co2_avoided,
    fuel_replaced,
    fuel_replaced_value,
    fuel_still_burned_value,
    homes,
    local_load_share,
)
from geoecon.report.explain.cost import (
    capital_at_risk,
    capital_cost,
    capital_cost_per_kw,
    debt,
    equity,
    first_year_operating_cost,
    interest_during_construction,
    wacc,
)
from geoecon.report.explain.energy import (
    curtailed_energy,
    first_year_energy,
    lifetime_energy,
    lowest_month_energy,
    net_capacity_factor,
)
from geoecon.report.explain.facts import Explained
from geoecon.report.explain.field import last_brine_temperature
from geoecon.report.explain.flows import of_owner, of_project
from geoecon.report.explain.owners import revenue_requirement, tier_min, total_commitment
from geoecon.report.explain.prices import (
    adjusted_rate_of_return,
    levelized_after_tax,
    levelized_cost,
    life_cycle_cost,
    net_benefits,
    price_levelized,
    required_price,
    savings_to_investment_ratio,
)
from geoecon.report.explain.size import (
    brine_flow,
    gross_capacity,
    injection_temperature,
    injectors,
    makeup_wells,
    net_capacity,
    plant_net_capacity,
    producers,
    summer_capacity,
    well_pump_power,
    wells_drilled,
)
from geoecon.report.explain.value import (
    dscr_mean,
    dscr_min,
    llcr,
    mirr,
    npv,
    npv_at_decision,
    npv_equity,
    payback,
    payback_whole_years,
    plcr,
    profitability_index,
    rate_found,
)

_LEVEL_TAX = (
    "The level price, in {money}, at which the value of the project after tax is zero. It is found by search, because tax "
    "depends on it: all cost and tax at this price, less what comes in beside it, over discounted energy, over what a "
    "royalty leaves of the price. Put back, the price leaves no value over."
)

EXPLAINED: dict[str, Explained] = {
    "gross_capacity": Explained("Gross power that each kg/s of brine gives at the design point, times brine flow: of steam, "
                                "its drop in the turbine, less with wetness, and what gas leaves of it; a stated plant brings "
                                "its own figure.", gross_capacity),
    "plant_net_capacity": Explained("Gross less plant use; at the design point this is net capacity and well pumps together.",
                                    plant_net_capacity),
    "net_capacity": Explained("As stated, or, where capacity follows from wells, plant net less well pumps.", net_capacity),
    "summer_capacity": Explained("Unit net with design brine in the mean air of the hottest month, at most the output limit: "
                                 "read off the plant's map between the two air temperatures around it. A stated plant has no "
                                 "map; its output moves as its quote says.",
                                 summer_capacity),
    "well_pump_power": Explained("What pumps take to lift the brine (lift, drawdown, friction, wellhead pressure, times flow "
                                 "over density and efficiency), none where wells flow by themselves, and to put it back (what "
                                 "an injector needs at its wellhead, less where cool brine is heavy, above what the plant "
                                 "leaves); none beside a stated net output.",
                                 well_pump_power),
    "producers": Explained("Brine flow over the flow of one producer, the next whole number up, with spare ones; at least "
                           "those that exist.", producers),
    "injectors": Explained("Producers over producers per injector, the next whole number up; at least those that exist.",
                           injectors),
    "wells_drilled": Explained("New producers and injectors over the chance of success, or times the wells that each takes "
                               "where chances change as the field is explored and learnt, less failed producers reused as "
                               "injectors; an expectation, so not whole.", wells_drilled),
    "makeup_wells": Explained("Make-up producers over the life, each with its share of an injector, over the chance of "
                              "success.", makeup_wells),
    "brine_flow": Explained("The flow that gives net capacity: capacity over plant net less well pumps for each kg/s, found by "
                            "search because pumps take more for each kg/s as flow grows; as stated, or from wells that exist.",
                            brine_flow),
    "injection_temperature": Explained("Brine at the feed zone, less what it loses on the way, less what the plant takes out; "
                                       "of a flash that of the last separator, of dry steam its condensate.",
                                       injection_temperature),
    "last_brine_temperature": Explained("Brine at the feed zone at the start, less what it loses on the way, less what it has "
                                        "fallen by the last year: at a rate to the middle of the year; with water that comes "
                                        "back, part of the way to its temperature; by a table, what the table has fallen.",
                                        last_brine_temperature),
    "first_year_energy": Explained("Gross at the design point over 8,760 h, less every loss on the way to the delivery point.",
                                   first_year_energy),
    "lifetime_energy": Explained("Gross at the design point over all operating years, less every loss on the way to the "
                                 "delivery point.", lifetime_energy),
    "lowest_month_energy": Explained("Mean power delivered in the weakest month of year 1, times its hours. Where the plant "
                                     "has a map, unit net is read off it at the air of the month and the brine of year 1; a "
                                     "stated plant has none.",
                                     lowest_month_energy),
    "curtailed_energy": Explained("Unit-net energy of year 1 less what is taken of it.", curtailed_energy),
    "net_capacity_factor": Explained("Unit-net energy of year 1 over net capacity times 8,760 h.", net_capacity_factor),
    "capital_cost": Explained("Sum of the capital accounts, each from what it is charged on, with its contingency; wells with "
                              "the dry holes expected beside them, a pump for each new producer.", capital_cost),
    "capital_cost_per_kw": Explained("Capital cost over net capacity in kW.", capital_cost_per_kw),
    "capital_at_risk": Explained("Exploration, slim holes and permits, and, where no producer exists, the first one with "
                                  "the dry holes expected before it; with contingency.", capital_at_risk),
    "interest_during_construction": Explained("Sum over the build years of interest on the debt drawn by then.",
                                              interest_during_construction),
    "debt": Explained("Debt share of all uses of money before year 1: capital, interest, fees and the first reserve. Sized by "
                      "cover, the debt service that cash covers as asked, at its value at the debt rate.", debt),
    "equity": Explained("All uses of money before year 1 less debt and grant.", equity),
    "first_year_operating_cost": Explained("Sum of the operating accounts of year 1 in money of the price year: fixed cost, at "
                                           "least the floor for staff; variable cost times unit-net energy; water of a "
                                           "tower; well field cost of a well times wells in service; insurance, property "
                                           "tax and land. Royalty follows revenue and is left out.",
                                           first_year_operating_cost),
    "wacc": Explained("Debt share times debt rate after tax, and the rest times the return on equity.", wacc),
    "life_cycle_cost": Explained("Value at the discount rate of capital, sustaining capital, operating cost and "
                                 "decommissioning, over what a royalty at the levelized cost leaves. ASTM E917 and ISO "
                                 "15686-5 call it life-cycle cost (recalled).", life_cycle_cost),
    "lcoe_real": Explained("Value of all cost over discounted energy in money of the price year, over what a royalty leaves of "
                           "the price.", levelized_cost("lcoe_real")),
    "lcoe_nominal": Explained("Value of all cost over discounted energy, over what a royalty leaves of the price.",
                              levelized_cost("lcoe_nominal")),
    "lcoe_after_tax_real": Explained(_LEVEL_TAX.format(money="price-year money"), levelized_after_tax("lcoe_after_tax_real")),
    "lcoe_after_tax_nominal": Explained(_LEVEL_TAX.format(money="nominal money"),
                                        levelized_after_tax("lcoe_after_tax_nominal")),
    "required_price": Explained("The lowest first price that gives the owner what is needed, found by search, because tax "
                                "depends on it: what the owner pays, tax at this price in, less what else comes in, over what "
                                "one unit of price brings. Put back, the price meets the need and leaves nothing over.",
                                required_price),
    "price_levelized_nominal": Explained("Value of energy sold at the stated prices over discounted energy.",
                                         price_levelized("price_levelized_nominal")),
    "price_levelized_real": Explained("Value of energy sold at the stated prices over discounted energy in money of the price "
                                      "year.", price_levelized("price_levelized_real")),
    "npv": Explained("Value at the discount rate of what comes in, less that of what goes out, tax without debt included.",
                     npv),
    "npv_at_decision": Explained("Net present value carried from year 0 to the year of decision at the discount rate.",
                                 npv_at_decision),
    "irr_project": Explained("The rate, found by search, at which what comes in is worth as much as what goes out. Put "
                             "back, it leaves no value over.",
                             rate_found("irr_project", of_project)),
    "npv_equity": Explained("Value at the return wanted of what the owner receives, less that of what the owner pays.",
                            npv_equity),
    "irr_equity": Explained("The rate, found by search, at which what the owner receives is worth as much as what the owner "
                            "pays. Put back, it leaves no value over.",
                            rate_found("irr_equity", of_owner)),
    "mirr": Explained("What the outlays grow at when earnings are put to work at the discount rate to the last year. "
                      "ASTM E1057 calls it adjusted rate of return (recalled).", mirr),
    "payback": Explained("Full years in which the outlay is not yet back, and the part of the next that brings back the rest. "
                         "The payback of ASTM E1121 (recalled).",
                         payback(discounted=False)),
    "payback_whole_years": Explained("Payback, the next whole number up.", payback_whole_years),
    "discounted_payback": Explained("Full years in which the outlay is not yet back, and the part of the next that brings back "
                                    "the rest, with flows discounted.", payback(discounted=True)),
    "profitability_index": Explained("One, and net present value over the value of initial capital.", profitability_index),
    "net_benefits": Explained("What the supply replaced costs now, for all energy delivered over the life in money of the "
                              "price year, less life-cycle cost. ASTM E1074 calls it net savings (recalled).", net_benefits),
    "savings_to_investment_ratio": Explained("Cost of the supply replaced less one's own running cost, over capital, "
                                             "sustaining capital and decommissioning, all as values. ASTM E964 has "
                                             "this ratio (recalled); above 1 there are net benefits, and the adjusted "
                                             "rate of return of ASTM E1057 is above the discount rate.",
                                             savings_to_investment_ratio),
    "adjusted_rate_of_return": Explained("What is invested grows at this rate when what is saved is put to work at the "
                                         "discount rate: one and that rate, times the ratio to the power of one over the "
                                         "operating years, less one. ASTM E1057 calls it adjusted rate of return (recalled).",
                                         adjusted_rate_of_return),
    "dscr_min": Explained("Cash available for debt service over interest and principal, in the year in which this is least.",
                          dscr_min),
    "dscr_mean": Explained("Sum of the yearly covers over the number of years with debt service.", dscr_mean),
    "llcr": Explained("Value at the debt rate of what comes in and goes out over the years of the loan, before it is "
                      "served, over the debt at the end of year 0.", llcr),
    "plcr": Explained("The same over all operating years.", plcr),
    "tier_min": Explained("Revenue less operating cost, book depreciation, decommissioning and tax, over interest, in the year "
                          "in which this is least; capital is charged in equal parts over the operating years.", tier_min),
    "revenue_requirement_levelized": Explained("Value of operating cost, book depreciation, return on the rate base (net plant "
                                               "less accumulated deferred tax, at the beginning of the year), income tax and "
                                               "shares of revenue, over discounted energy, all at the utility's own after-tax "
                                               "weighted return.", revenue_requirement),
    "total_commitment": Explained("Debt and the owner's money before year 1, and what the owner has to add in every operating "
                                  "year whose cash is below zero at the stated price.", total_commitment),
    "homes_low": Explained("The smaller of first-year and life-mean energy, less what is lost on the way to homes, over the "
                           "highest use of a home.", homes(min, "highest use of a home", -1)),
    "homes_high": Explained("The larger of first-year and life-mean energy, less what is lost on the way to homes, over the "
                            "lowest use of a home.", homes(max, "lowest use of a home", 0)),
    "local_load_share": Explained("Energy delivered in year 1 over the local load of a year, at most all of it.",
                                  local_load_share),
    "fuel_replaced": Explained("Life-mean energy, at most the local load, times the fuel that a MWh takes now.",
                               fuel_replaced),
    "fuel_replaced_value": Explained("Fuel replaced times its price, delivered.", fuel_replaced_value),
    "fuel_still_burned_value": Explained("Fuel that the whole local load would take less fuel replaced, times its price.",
                                         fuel_still_burned_value),
    "co2_avoided": Explained("Life-mean energy times what the grid emits on average.", co2_avoided),
}  # fmt: skip
