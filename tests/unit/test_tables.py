"""Every row of a table names a source that exists and its evidence; sums and bounds are as recorded."""

import pytest

from geoecon.errors import TableError
from geoecon.tables import EVIDENCE, SOURCED, citation, row, table


@pytest.mark.parametrize("name", SOURCED)
def test_every_row_has_its_source_and_evidence(name):
    for r in table(name):
        assert citation(r["source"])
        assert r["evidence"] in EVIDENCE
        assert None not in r  # a row with more cells than columns


def test_sources_say_what_they_are_and_where_they_were_seen():
    keys = [r["source"] for r in table("sources")]
    assert len(keys) == len(set(keys))
    assert all(r["citation"] and r["where_seen"] for r in table("sources"))


def test_household_use_adds_up_as_its_source_does():
    """US EIA table 5.A, 2022: 51 rows; use times price is the printed bill; the weighted mean is 899.2 kWh a month."""
    rows = table("household_use")
    customers = [int(r["customers"]) for r in rows]
    use = [float(r["kwh_per_month"]) for r in rows]
    assert (len(rows), sum(customers), sum(use)) == (51, 139854178, 45518)
    mean = sum(c * u for c, u in zip(customers, use, strict=True)) / sum(customers)
    assert mean == pytest.approx(899.2, abs=0.05)
    for r in rows:
        bill = float(r["kwh_per_month"]) * float(r["price_c_per_kwh"]) / 100
        assert bill == pytest.approx(float(r["bill_usd_per_month"]), abs=0.14)


def test_critical_temperatures_are_those_of_the_property_library():
    from CoolProp.CoolProp import PropsSI

    for r in table("fluids"):
        kelvin = PropsSI("Tcrit", r["library_name"])
        assert float(r["critical_temperature"]) == pytest.approx(kelvin - 273.15, abs=0.01)


def test_accounts_are_known_to_both_sides():
    from geoecon.case.schema import ACCOUNTS

    assert [r["account"] for r in table("accounts") if r["group"] == "capital"] == list(ACCOUNTS)
    assert all(r["payer"] and r["recipient"] and r["tax_class"] for r in table("accounts"))


def test_tables_of_a_screen_name_what_exists():
    from geoecon.case.schema import TABLES
    from geoecon.case.site import SITE_TABLES
    from geoecon.studies.screen.criteria import HOURS
    from geoecon.studies.screen.measures import QUANTITIES

    assert HOURS == 8.76
    for r in table("site_defaults"):
        name, _, leaf = r["path"].partition(".")
        assert name in {"heat", "water"} or leaf in {*SITE_TABLES[name].model_fields, "productivity"}
        ends = [float(r[key]) for key in ("low", "mode", "high") if r[key]]
        assert ends == sorted(ends)
    for r in table("screened_case"):
        name, _, leaf = r["path"].partition(".")
        assert leaf in TABLES[name].model_fields
    criteria = {"heat", "water", "permeability", "depth", "access", "market"}
    for r in table("measurements"):
        assert {part.split(":")[0] for part in r["settles"].split()} <= {*QUANTITIES, "temperature", "recovery"}
        assert all(0 < float(part.split(":")[1]) <= 1 for part in r["settles"].split())
        assert r["criterion"] in criteria
        assert float(r["low"]) < float(r["high"])


def test_power_by_area_has_no_gap():
    rows = table("power_density")
    assert [r["to_degC"] for r in rows[:-1]] == [r["from_degC"] for r in rows[1:]]


def test_geothermometers_have_their_ranges():
    rows = table("geothermometers")
    assert len({r["name"] for r in rows}) == len(rows) == 14
    assert all(0 <= float(r["low"]) < float(r["high"]) <= 350 for r in rows)


def test_usual_rates_of_drilling_lie_inside_what_their_fields_may_be():
    from geoecon import units
    from geoecon.case.fields import about
    from geoecon.case.well_cost import RATES
    from geoecon.case.wells import Wells

    rows = {r["rate"]: r for r in table("drilling_rates")}
    assert set(rows) == set(RATES) - {"casing_strings"} | {"shoe_ratio"}
    for rate in rows.keys() & set(RATES):
        field, text = about(Wells, rate), f"{rows[rate]['value']} {rows[rate]['unit']}"
        low, high = field.limits(field.kinds[0])
        assert low < units.read(text, field.kinds, "USD").value < high
        assert bool(rows[rate]["price_year"]) == ("USD" in text)
    programs = [(float(r["from_m"]), int(r["strings"])) for r in table("casing_programs")]
    assert programs == sorted(programs)
    assert programs[0][0] == 0


def test_an_unknown_table_or_row_is_an_error_that_names_it():
    with pytest.raises(TableError, match="no table 'unicorns'"):
        table("unicorns")
    with pytest.raises(TableError, match="0 rows"):
        row("fluids", fluid="water")


def test_what_is_unusual_lies_inside_what_a_field_may_be():
    from geoecon.case.fields import about
    from geoecon.case.schema import TABLES

    for r in table("unusual"):
        name, _, leaf = r["path"].partition(".")
        field = about(TABLES[name], leaf)
        low, high = field.limits(r["kind"])
        assert r["kind"] == "" or r["kind"] in field.kinds
        assert low <= float(r["low"]) < float(r["high"]) <= high
