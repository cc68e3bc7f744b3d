"""What is known of site and project, grouped as a person thinks of it."""

import streamlit as st

from geoecon.report.words import plain_text
from geoecon.ui import parts, state

GROUPS = {
    "Ground": {
        "resource.temperature": "Temperature below ground",
        "resource.temperature_decline": "Cooling a year",
        "resource.temperature_path": "How the field cools",
        "wells.depth": "Depth of a well",
        "wells.flow_per_producer": "Flow of one producer",
        "wells.flow_decline": "Loss of flow a year",
        "wells.productivity_index": "Productivity of a well",
    },
    "Drilling": {
        "wells.cost_per_producer": "Cost of a producer",
        "wells.success": "Chance of success",
        "wells.producers_per_injector": "Producers to one injector",
        "capital.exploration": "Exploration",
    },
    "Plant": {
        "plant.net_capacity": "Net capacity",
        "plant.kind": "Kind of plant",
        "plant.fluid": "Working fluid",
        "plant.layout": "Layout",
        "plant.cooling": "Cooling",
        "site.relative_humidity": "Humidity of the air, for wet cooling",
        "plant.cost_per_kw": "Cost per kW",
        "operation.fixed_cost": "Running cost a year",
        "operation.planned_outage": "Planned outage",
        "operation.forced_outage": "Forced outage",
        "timeline.operating_years": "Operating years",
    },
    "Sale": {
        "market.price": "Price in year 1",
        "market.price_basis": "Money of that price",
        "market.price_growth": "Growth of the price",
        "market.term_years": "Years that the price holds",
        "market.price_after_term": "Price after that",
        "site.line_loss": "Loss on the line",
    },
    "Money": {
        "finance.equity_return": "Return asked on equity",
        "finance.discount_rate": "Discount rate",
        "finance.debt_share": "Share of debt",
        "finance.debt_rate": "Interest",
        "finance.debt_years": "Years to repay",
        "money.inflation": "Inflation",
    },
    "Nearby": {
        "community.current_price": "Paid now for the supply replaced",
        "capital.grant": "Grant",
        "community.displaced_fuel_price": "Price of the fuel replaced",
    },
}

case = state.case()
st.title(plain_text(case.project.name), anchor=False)
st.markdown(plain_text(case.project.summary))
st.caption(
    "Write a number with its unit; any unit of the field will do. Empty fields are not stated by the case; emptying one takes "
    "it out. What only goes together is taken over once all of it stands, in whichever order it is written."
)
left, right = st.columns(2, gap="large")
for column, groups in ((left, ("Ground", "Drilling", "Money")), (right, ("Plant", "Sale", "Nearby"))):
    with column:
        for name in groups:
            st.subheader(name, divider="gray", anchor=False)
            for path, label in GROUPS[name].items():
                parts.field(path, label)
st.subheader("Any other input", divider="gray", anchor=False)
paths = parts.other_paths({path for group in GROUPS.values() for path in group})
find, whole = st.columns([2, 1], gap="large")
chosen = find.selectbox(
    "Find it by its words", list(paths), index=None, format_func=lambda path: paths[path], key="other",
    placeholder="type a word, such as royalty or pinch",
)  # fmt: skip
tables = parts.tables_with(paths)
table = whole.selectbox(
    "Or see a whole table", list(tables), index=None, key="table", placeholder="such as finance or tax",
    format_func=lambda name: f"{name}, {len(tables[name])} more fields",
)  # fmt: skip
if chosen:
    parts.field(chosen, chosen)
if table:
    parts.fields_of(table, [path for path in tables[table] if path != chosen])
st.caption(
    "How sure a number is (uncertainty), criteria of a decision, and notes stand in the case file, which the page of the "
    "answer has to take along."
)
