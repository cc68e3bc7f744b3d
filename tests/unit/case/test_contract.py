"""The paths, metrics, columns and ledger steps that other people's files and scripts use."""

from pathlib import Path

import geoecon
from geoecon.case import Case, load_case
from geoecon.case.reference import reference
from geoecon.energy import STEPS
from geoecon.result import COLUMNS, METRICS

COMPLETE = Path(__file__).parents[2] / "data" / "complete.toml"

PATHS = {
    "project": "name summary owner estimate_class",
    "money": "currency price_year inflation",
    "timeline": "first_year build_years operating_years spending spending_time delay decision_year",
    "site": "air_temperature air_temperature_offset elevation line_loss export_limit grid_emission_factor",
    "resource": "temperature temperature_decline decline_start_years supported_power salinity silica",
    "wells": "depth vertical_depth cost_method cost_per_producer cost_per_injector cost_curve cost_factor dry_hole_cost "
    "existing_producers existing_injectors spare_producers flow_per_producer flow_decline decline_shape decline_exponent "
    "success success_makeup failed_as_injectors producers_per_injector productivity_index injectivity_index static_level "
    "wellhead_pressure temperature_loss pump_efficiency makeup_threshold makeup_stop_years makeup_per_year",
    "plant": "kind fluid size_from net_capacity design_air_temperature max_brine_flow output_limit performance "
    "performance_factor cost_per_kw cost_basis cost_reference_capacity cost_exponent injection_temperature_floor "
    "stated_capacity_factor stated_output",
    "operation": "planned_outage planned_outage_month forced_outage fixed_cost staff_floor variable_cost wellfield_cost "
    "pump_life_years pump_cost insurance property_tax royalty land real_growth",
    "capital": "exploration permits gathering grid_connection owners_cost contingency spent_to_date grant decommissioning",
    "market": "price_form price price_basis price_growth price_schedule term_years price_after_term",
    "finance": "discount_rate equity_return debt_share debt_rate debt_years debt_shape target_dscr reserve_months "
    "sustaining_funding reserve_lookahead_years upfront_fee",
    "tax": "rules rate losses loss_limit credit credit_use construction_begins domestic_content",
    "community": "household_use distribution_loss local_load islanded current_price retail_price displaced_fuel_use "
    "displaced_fuel_price standby_share",
}
KEYS = (
    "gross_capacity net_capacity producers injectors wells_drilled makeup_wells brine_flow injection_temperature "
    "first_year_energy lifetime_energy net_capacity_factor capital_cost capital_cost_per_kw lcoe_real lcoe_nominal "
    "required_price npv irr_project npv_equity irr_equity mirr payback discounted_payback profitability_index dscr_min "
    "dscr_mean llcr homes_low homes_high co2_avoided plant_net_capacity summer_capacity well_pump_power lowest_month_energy "
    "curtailed_energy lcoe_after_tax_real lcoe_after_tax_nominal wacc interest_during_construction debt equity "
    "npv_at_decision price_levelized_nominal price_levelized_real capital_at_risk payback_whole_years "
    "first_year_operating_cost"
)
YEARLY = (
    "year calendar_year brine_flow brine_temperature producers gross_energy delivered_energy price revenue operating_cost "
    "capital interest principal debt_balance depreciation tax tax_unlevered cash_flow_project cash_flow_equity dscr "
    "sustaining_capital reserve_balance cfads debt_drawn fees grant decommissioning credit"
)
LEDGER = (
    "gross_at_design weather decline output_limit plant_auxiliaries production_pumps injection_pumps planned_outage "
    "forced_outage unit_net curtailment line_loss delivered"
)


def test_every_path_is_in_the_reference():
    listed = {field.path for field in reference()}
    wanted = {f"{table}.{leaf}" for table, leaves in PATHS.items() for leaf in leaves.split()}
    assert wanted - listed == set()


def test_every_metric_column_and_step_exists():
    assert set(KEYS.split()) - set(METRICS) == set()
    assert set(YEARLY.split()) - set(COLUMNS) == set()
    assert tuple(LEDGER.split()) == STEPS


def test_a_result_holds_them_all_with_a_value_or_a_reason():
    for name in geoecon.shipped_cases():
        shown = geoecon.evaluate(load_case(geoecon.shipped_case(name))).as_json()
        assert {"case", "metrics", "annual", "ledger", "ledger_life", "warnings", "assumptions"} <= set(shown)
        assert set(KEYS.split()) <= set(shown["metrics"])
        for metric in shown["metrics"].values():
            keys = {"value", "unit", "reason"} if metric["value"] is None else {"value", "unit", "basis", "point"}
            assert keys <= set(metric)
            assert metric["value"] is not None or metric["reason"]
        assert set(shown["annual"]) == set(COLUMNS) == set(shown["units"])
        lengths = {len(column) for column in shown["annual"].values()}
        assert len(lengths) == 1
        assert tuple(shown["ledger"]) == tuple(shown["ledger_life"]) == STEPS


def test_every_field_of_the_reference_has_help_and_a_way_to_write_it():
    for field in reference():
        assert field.help
        assert field.how


def test_the_complete_file_reads_and_round_trips_with_its_words_and_comments():
    text = COMPLETE.read_text(encoding="utf-8")
    case = load_case(COMPLETE)
    assert case.to_toml() == text
    assert Case.read(case.to_toml()) == case
    assert "# feed zone" in text
    assert case.uncertainty.inputs["resource.temperature"].shape == "triangular"
    assert case.uncertainty.correlation[0].rank == 0.6
