"""Friction, pumps and cost of wells against published examples.

Sources
- Y. A. Cengel and J. M. Cimbala, Fluid Mechanics, example 8-3 (water in a smooth 2 in pipe): inputs seen in a copy (a
  textbook companion), answers f 0.0174, 11.8 psi and 461 W from memory. Its pipe is twenty times smoother than the steel
  that `friction_bar` is for; the roughness is put in its place for this one check.
- Well cost curves: T. S. Lowry and others, GeoVision Analysis: Reservoir Maintenance and Development (2017); C. Klein, J.
  Lovekin and S. Sanyal, New Geothermal Site Identification and Qualification (2004); M. Z. Lukawski and others, J. Pet.
  Sci. Eng. 118 (2014), geothermal wells and US onshore oil and gas; J. W. Tester and others, The Future of Geothermal Energy
  (MIT, 2006), predicted costs: all from memory, so that the cells computed from them check units and years, not memory.
- Two wells as the press told of them: production well of a college in Klamath Falls, 5,300 ft drilled of 6,000 ft planned,
  estimate of 3.9 million dollars (2009; seen); one well of the state generator of Kenya, 6 million dollars (2009; seen).
- M. Gehringer and V. Loksha, Geothermal Handbook (ESMAP, 2012): indicative cost of 50 MW by phase, from memory; its columns
  sum to the totals remembered.
- Consumer price index of the United States (BLS, all items, annual averages): seen in a copy.
- Geothermal well, pump of 300 m and saturation pressures: computed here before, with an independent program.
"""

import numpy as np
import pytest
from scipy.optimize import brentq

from geoecon.resource.water import saturation_pressure
from geoecon.tables import table
from geoecon.wells import pumping
from geoecon.wells.drilling import cost_curve, price_level, spread
from geoecon.wells.pumping import GRAVITY, PASCAL, friction_bar, friction_factor, hydraulic_kw, mean_speed

FOOT, POUND, PSI_PER_BAR = 0.3048, 0.45359237, 14.503774


def test_friction_of_the_textbook_pipe(agree, monkeypatch):
    """62.36 lbm/ft3, 7.536e-4 lbm/ft/s, 2 in, 0.2 ft3/s, 200 ft, 0.000007 ft. Printed: 11.8 psi and 461 W."""
    monkeypatch.setattr(pumping, "ROUGHNESS_M", 0.000007 * FOOT)
    density, viscosity = 62.36 * POUND / FOOT**3, 7.536e-4 * POUND / FOOT
    bore, length, volume = 2 / 12 * FOOT, 200 * FOOT, 0.2 * FOOT**3
    lost = friction_bar(volume * density, bore, length, density, viscosity)
    agree(lost * PSI_PER_BAR, 11.8, within=0.02, what="psi")
    agree(hydraulic_kw(volume * density, lost, density) * 1000, 461, within=0.02, what="W")


def test_friction_factor_of_the_textbook_pipe(agree):
    """Reynolds number 126,400 and roughness 0.000042 (seen): 0.0174 from memory, by Colebrook; ours is 1.3 % lower."""
    agree(friction_factor(126_400.0, 0.000042), 0.0174, within=0.014, what="friction factor")
    agree(friction_factor(126_400.0, 0.000042), 0.01718, within=0.0006, what="one in the last digit (computed)")


def test_units_that_are_mixed_up_are_seen(agree):
    """The pipe again, all in US units with their own gravity: the Reynolds number has no unit, nor has the factor."""
    speed_ft_s, density, viscosity, bore_ft = 0.2 / (np.pi * (2 / 12) ** 2 / 4), 62.36, 7.536e-4, 2 / 12
    reynolds = density * speed_ft_s * bore_ft / viscosity
    agree(reynolds, 126_400, digits=3.5, what="Reynolds number in US units")
    in_si = density * POUND / FOOT**3 * speed_ft_s * FOOT * bore_ft * FOOT / (viscosity * POUND / FOOT)
    agree(in_si, reynolds, digits=12, what="Reynolds number in metres, kilograms and seconds")
    agree(
        mean_speed(0.2 * density * POUND, bore_ft * FOOT, density * POUND / FOOT**3) / FOOT,
        9.17,
        digits=2.5,
        what="ft/s",
    )


@pytest.mark.parametrize("reynolds", [5e3, 1e5, 2.5e6, 1e8])
@pytest.mark.parametrize("roughness", [1e-6, 2e-4, 1e-2])
def test_friction_factor_beside_colebrook(agree, reynolds, roughness):
    """The equation of C. F. Colebrook (1939; any textbook), solved by scipy: within 2 %."""

    def left(f):
        return 1 / np.sqrt(f) + 2 * np.log10(roughness / 3.7 + 2.51 / (reynolds * np.sqrt(f)))

    agree(
        friction_factor(reynolds, roughness), brentq(left, 1e-3, 0.2, xtol=1e-12), within=0.02, what="friction factor"
    )


def test_friction_of_a_geothermal_well(agree):
    """80 kg/s at 150 degC in 220.5 mm, 0.045 mm rough, 1,000 m: 1.54 bar, f 0.0142 (computed)."""
    lost = friction_bar(80.0, 0.2205, 1000.0, 917.01, 1.825e-4)
    agree(lost, 1.54, within=0.005, what="bar")
    speed = 80 / 917.01 / (np.pi * 0.2205**2 / 4)
    agree(speed, 2.284, digits=3.5, what="m/s")
    agree(lost * PASCAL / (1000 / 0.2205 * 917.01 * speed**2 / 2), 0.0142, within=0.005, what="friction factor")


def test_laminar_flow_follows_its_own_law(agree):
    """64 / Re: 32 mu L v / D2 (any textbook)."""
    flow, bore, viscosity = 0.02, 0.1, 1e-3
    speed = flow / 1000 / (np.pi * bore**2 / 4)
    ours = friction_bar(flow, bore, 1000.0, 1000.0, viscosity) * PASCAL
    agree(ours, 32 * viscosity * 1000 * speed / bore**2, digits=10, what="Pa")


def test_pump_of_300_metres(agree):
    """80 kg/s up 300 m with 0.70 x 0.95: 354 kW (computed)."""
    density = 917.0
    head = 300 * density * GRAVITY / PASCAL
    agree(hydraulic_kw(80.0, head, density) / (0.70 * 0.95), 354, digits=3, what="kW")


BOILING = {100: 1.01, 120: 1.99, 140: 3.62, 150: 4.76, 160: 6.18, 180: 10.03, 190: 12.55, 200: 15.55}


@pytest.mark.parametrize("degc", BOILING)
def test_pressure_that_a_pump_must_stay_above(agree, degc):
    agree(saturation_pressure(degc), BOILING[degc], within=0.005, what=f"bar at {degc} degC")


# depth m: million dollars of the curve's own year, then of 2024 by the price index; as printed in a comparison (computed)
COSTS = {
    "historical-2014": {
        1000: (1.85, 2.71), 1500: (3.22, 4.70), 2000: (4.67, 6.83), 2500: (6.21, 9.07), 3000: (7.83, 11.45),
        4000: (11.33, 16.57), 5000: (15.18, 22.20), 6000: (19.37, 28.33),
    },
    "california-2004": {1000: (1.14, 1.94), 1500: (1.74, 2.96), 2000: (2.44, 4.16), 2500: (3.25, 5.53), 3000: (4.16, 7.08)},
    "vertical-small": {
        1000: (1.64, 2.17), 1500: (2.31, 3.06), 2000: (3.13, 4.14), 2500: (4.10, 5.43), 3000: (5.23, 6.92),
        4000: (7.92, 10.49), 5000: (11.23, 14.86), 6000: (15.14, 20.03),
    },
    "vertical-large": {
        1000: (2.19, 2.90), 1500: (3.18, 4.21), 2000: (4.31, 5.70), 2500: (5.58, 7.39), 3000: (7.00, 9.26),
        4000: (10.24, 13.56), 5000: (14.05, 18.60), 6000: (18.43, 24.39),
    },
    "deviated-large": {
        1000: (2.47, 3.27), 1500: (3.65, 4.83), 2000: (4.96, 6.56), 2500: (6.39, 8.45), 3000: (7.95, 10.52),
        4000: (11.45, 15.16), 5000: (15.47, 20.47), 6000: (19.99, 26.46),
    },
    "predicted-2006": {
        1500: (2.3, 3.82), 2500: (3.4, 5.65), 3000: (4.0, 6.64), 4000: (5.2, 8.64), 5000: (7.0, 11.62), 6000: (9.7, 16.11),
    },
}  # fmt: skip


@pytest.mark.parametrize("name", COSTS)
def test_cost_of_a_well(agree, name):
    curve = cost_curve(name)
    to_2024 = price_level(curve.price_year, 2024, np.array([0.0]))[0]
    for depth, (own, later) in COSTS[name].items():
        cost = float(curve.cost(float(depth))) / 1e6
        agree(cost, own, within=0.01, what=f"{name} {depth} m, M$ {curve.price_year}")
        agree(cost * to_2024, later, within=0.01, what=f"{name} {depth} m, M$ 2024")


def test_families_agree_at_2000_metres():
    """In 2024 money 4.0 to 7.0 million dollars, whoever is asked."""
    costs = [cost for _, cost in spread(np.array([2000.0]), 2024, np.zeros(1)).ranked()]
    assert len(costs) == 8
    assert 4.0e6 < costs[0] <= costs[-1] < 7.0e6


@pytest.mark.parametrize("depth", [1500.0, 2000.0, 2500.0, 3000.0])
def test_families_agree_within_a_factor_of_1_8(depth):
    """On one dollar year, between 1,500 and 3,000 m (computed from remembered coefficients)."""
    costs = [cost for _, cost in spread(np.array([depth]), 2024, np.zeros(1)).ranked()]
    assert costs[-1] / costs[0] < 1.8


def test_estimate_of_a_real_well_is_bracketed_by_the_geothermal_fit(agree):
    """Klamath Falls: 3.9 million dollars of 2009 for 5,300 to 6,000 ft; the fit says 3.54 and 4.16, California 2.20 and 2.55."""
    depths = np.array([5300.0, 6000.0]) * FOOT
    fit = cost_curve("historical-2014").cost(depths) / 1e6
    assert fit[0] < 3.9 < fit[1]
    agree(fit[0], 3.54, within=0.01, what="M$ of 2009 at 5,300 ft")
    agree(fit[1], 4.16, within=0.01, what="M$ of 2009 at 6,000 ft")
    early = cost_curve("california-2004")
    moved = early.cost(depths) * price_level(early.price_year, 2009, np.zeros(1)) / 1e6
    agree(moved[0], 2.20, within=0.01, what="M$ of 2009 at 5,300 ft, California")
    agree(moved[1], 2.55, within=0.01, what="M$ of 2009 at 6,000 ft, California")
    agree(3.9 * price_level(2009, 2024, np.zeros(1))[0], 5.7, within=0.01, what="M$ of 2024")


def test_a_well_of_kenya_is_within_the_spread_of_usual_depths():
    """6 million dollars of 2009; the depth was not told, wells of that field are 2,000 to 3,000 m (from memory): a wide band."""
    found = spread(np.array([2000.0, 3000.0]), 2009, np.zeros(1))
    assert found.ranked(0)[0][1] < 6e6 < found.ranked(1)[-1][1]


PHASES = {"low": (142, 2.84), "medium": (196, 3.92), "high": (274, 5.48)}


@pytest.mark.parametrize("column", PHASES)
def test_phases_of_a_50_mw_project_sum_to_their_totals(agree, column):
    """Million dollars of 2010 to 2011, whole and for each MW; wells take 39 to 47 % of it."""
    rows = table("phase_costs")
    total = sum(float(r[column]) for r in rows)
    agree(total, PHASES[column][0], digits=12, what="MUSD")
    agree(total / 50, PHASES[column][1], digits=12, what="MUSD/MW")
    assert 0.39 < sum(float(r[column]) for r in rows if r["drilled"] == "yes") / total < 0.48


def test_no_cost_outside_the_depths_a_curve_was_fitted_on():
    """The fit of 2014 crosses zero at 264 m: refused there, below 1,000 m and above 6,000 m."""
    curve = cost_curve("historical-2014")
    assert curve.form(np.array([264.0]))[0] < 0 < curve.form(np.array([265.0]))[0], "what it would say"
    assert np.isnan(curve.cost(np.array([200.0, 264.0, 999.0, 6001.0]))).all()
    assert np.isfinite(curve.cost(np.array([1000.0, 6000.0]))).all()
    assert not curve.covers(np.array([999.0]))[0]


def test_price_level_is_the_index_then_inflation(agree):
    inflation = np.array([0.0, 0.025])
    agree(price_level(2015, 2024, inflation)[1], 313.689 / 237.017, digits=12, what="2015 to 2024")
    assert price_level(2015, 2024, inflation)[0] == price_level(2015, 2024, inflation)[1]
    agree(price_level(2015, 2027, inflation)[1], 321.943 / 237.017 * 1.025**2, digits=12, what="2015 to 2027, 2.5 %/yr")
    agree(price_level(2015, 2030, inflation)[0], 321.943 / 237.017, digits=12, what="2015 to 2030, no inflation")
