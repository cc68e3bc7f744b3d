"""Charts of one result: energy by month and year, where it goes, cash over the life."""

import altair as alt
import numpy as np
import pandas as pd

from geoecon.report.charts.frame import EARTH, INK, ROW, SAND, WATER, Chart, dressed
from geoecon.report.words import money
from geoecon.result import Result

KINDS = {"what is there": WATER, "lost here": EARTH, "gained here": SAND}
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def yearly_energy(result: Result) -> Chart:
    """Delivered energy of each operating year."""
    running = result.annual["year"][:, 0] > 0
    data = pd.DataFrame(
        {"year": result.annual["year"][running, 0], "MWh": result.annual["delivered_energy"][running, 0]}
    )
    bars = alt.Chart(data).mark_bar(color=WATER).encode(
        x=alt.X("year:O", title="operating year", axis=alt.Axis(labelAngle=0, labelOverlap=True)),
        y=alt.Y("MWh:Q", title="delivered energy [MWh]"),
        tooltip=[alt.Tooltip("year:O"), alt.Tooltip("MWh:Q", format=",.0f")],
    )  # fmt: skip
    first, last = data["MWh"].iloc[0], data["MWh"].iloc[-1]
    change = (last / first - 1) * 100 if first else 0.0
    way = "the same" if abs(change) < 0.05 else f"{abs(change):.1f} % {'less' if change < 0 else 'more'}"
    sentence = f"Delivered energy goes from {first:,.0f} MWh in year 1 to {last:,.0f} MWh in year {len(data)}, {way}."
    return Chart(dressed(bars), sentence, data)


def monthly_energy(result: Result) -> Chart:
    """Delivered energy of each month of operating year 1."""
    data = pd.DataFrame({"month": MONTHS, "MWh": result.monthly_energy[:, 0]})
    bars = alt.Chart(data).mark_bar(color=WATER).encode(
        x=alt.X("month:N", sort=list(MONTHS), title="month of year 1", axis=alt.Axis(labelAngle=0)),
        y=alt.Y("MWh:Q", title="delivered energy [MWh]"),
        tooltip=["month:N", alt.Tooltip("MWh:Q", format=",.0f")],
    )  # fmt: skip
    energy = result.monthly_energy[:, 0]
    low, high = int(energy.argmin()), int(energy.argmax())
    sentence = (
        f"The strongest month of year 1 is {MONTHS[high]} with {energy[high]:,.0f} MWh, the weakest {MONTHS[low]} with "
        f"{energy[low]:,.0f} MWh."
    )
    return Chart(dressed(bars), sentence, data)


def brine_temperature(result: Result) -> Chart:
    """Brine at the plant's inlet in each operating year, and how the field cools."""
    running = result.annual["year"][:, 0] > 0
    brine = result.annual["brine_temperature"][running, 0]
    if not np.isfinite(brine).all():
        return Chart(None, f"There is none: {result.metrics['last_brine_temperature'].reason}.", pd.DataFrame())
    data = pd.DataFrame({"year": result.annual["year"][running, 0], "degC": brine})
    line = alt.Chart(data).mark_line(color=EARTH, point={"color": EARTH, "size": 18}).encode(
        x=alt.X("year:O", title="operating year", axis=alt.Axis(labelAngle=0, labelOverlap=True)),
        y=alt.Y("degC:Q", title="brine at the plant inlet [degC]", scale=alt.Scale(zero=False, nice=True)),
        tooltip=[alt.Tooltip("year:O"), alt.Tooltip("degC:Q", format=".1f")],
    )  # fmt: skip
    sentence = (
        f"Brine reaches the plant at {brine[0]:.1f} degC in year 1 and at {brine[-1]:.1f} degC in year {len(data)}, means of "
        f"the year. How the field cools: {result.metrics['last_brine_temperature'].note}."
    )
    return Chart(dressed(line), sentence, data)


def ledger(result: Result) -> Chart:
    """Where the energy of year 1 goes, from gross at the design point to delivered."""
    steps = {name: float(values[0]) for name, values in result.ledger.items()}
    rows, left = [], 0.0
    for name, value in steps.items():
        whole = name in {"gross_at_design", "unit_net", "delivered"}
        start, end = (0.0, value) if whole else (left, left - value)
        left = end
        if whole or abs(value) > 1e-6 * steps["gross_at_design"]:
            kind = "what is there" if whole else "lost here" if value > 0 else "gained here"
            rows.append({"step": name.replace("_", " "), "from": start, "to": end, "MWh": value, "kind": kind})
    data = pd.DataFrame(rows)
    bars = alt.Chart(data).mark_bar(height={"band": 0.7}).encode(
        y=alt.Y("step:N", sort=None, title=None, axis=alt.Axis(labelLimit=170, labelOverlap=False)),
        x=alt.X("from:Q", title="energy of year 1 [MWh]"), x2="to:Q",
        color=alt.Color("kind:N", scale=alt.Scale(domain=list(KINDS), range=list(KINDS.values()))),
        tooltip=["step:N", alt.Tooltip("MWh:Q", format=",.0f"), "kind:N"],
    )  # fmt: skip
    share = steps["delivered"] / steps["gross_at_design"] * 100 if steps["gross_at_design"] else 0.0
    sentence = (
        f"Of {steps['gross_at_design']:,.0f} MWh gross at the design point, {steps['delivered']:,.0f} MWh ({share:.0f} %) "
        "are delivered."
    )
    return Chart(dressed(bars, height=ROW * len(rows)), sentence, data)


def cash_flow(result: Result, *, of_owner: bool = False) -> Chart:
    """Cash flow of each year and its running total, of the project or of the owner."""
    column = "cash_flow_equity" if of_owner else "cash_flow_project"
    unit = f"M{result.currency}"
    flows = result.annual[column][:, 0] / 1e6
    if not np.isfinite(flows).all():
        return Chart(None, f"There is none: {result.metrics['npv'].reason}.", pd.DataFrame())
    data = pd.DataFrame({"year": result.annual["year"][:, 0].astype(int), unit: flows, "total": np.cumsum(flows)})
    x = alt.X("year:O", title="year (0 ends when operation begins)", axis=alt.Axis(labelAngle=0, labelOverlap=True))
    bars = alt.Chart(data).mark_bar().encode(
        x=x, y=alt.Y(f"{unit}:Q", title=f"cash flow, nominal [{unit}]"),
        color=alt.condition(f"datum['{unit}'] < 0", alt.value(EARTH), alt.value(WATER)),
        tooltip=["year:O", alt.Tooltip(f"{unit}:Q", format=",.3f"), alt.Tooltip("total:Q", format=",.3f")],
    )  # fmt: skip
    line = (
        alt.Chart(data)
        .mark_line(color=INK, strokeDash=[5, 3], point={"color": INK, "size": 14})
        .encode(x=x, y="total:Q")
    )
    who = "the owner" if of_owner else "the project, without debt"
    end = money(float(data["total"].iloc[-1]) * 1e6, result.currency)
    lowest = money(float(data["total"].min()) * 1e6, result.currency)
    sentence = (
        f"Bars are the yearly cash flow of {who}, after tax; the dashed line is the total so far, {lowest} at its lowest and "
        f"{end} at the end."
    )
    return Chart(dressed(bars + line), sentence, data)
