"""What one MWh costs, from its first part to the price that the owner requires."""

import altair as alt
import pandas as pd

from geoecon.finance.stack import COST
from geoecon.report.charts.frame import EARTH, INK, ROW, SAND, WATER, Chart, dressed
from geoecon.report.stack import LEAST, amount, basis, parts, verdict
from geoecon.result import Result

KINDS = {"adds": EARTH, "takes off": SAND, "comes to": WATER}
ROOM = 1.12  # of the longest bar, for the number beside it


def cost_steps(result: Result, of: str = "real") -> Chart:
    """A bar a part, each from where the one before ends; the three prices in between."""
    rows, reached, before = [], 0.0, dict[str, float]()
    for name, made in parts(result, of).items():
        for part in made:
            added = made[part] - before.get(part, 0.0)
            if abs(added) >= LEAST:
                rows.append((part, reached, reached + added, amount(added, sign=name != COST), _kind(added)))
            reached += added
        rows.append((name, 0.0, reached, amount(reached), "comes to"))
        before = made
    data = pd.DataFrame(rows, columns=["part", "from", "to", "amount", "kind"])
    if data.empty:
        return Chart(None, verdict(result, of), data)
    data.insert(0, "step", range(len(data)))
    data["end"] = data[["from", "to"]].max(axis=1)
    unit = basis(result, of)
    y = alt.Y(
        "step:O", title=None, axis=alt.Axis(labelExpr=_labels(data["part"].tolist()), labelLimit=190, ticks=False)
    )
    bars = alt.Chart(data).mark_bar(height={"band": 0.7}).encode(
        y=y, x=alt.X("from:Q", title=f"[{unit}]", scale=alt.Scale(domainMax=float(data["end"].max()) * ROOM)), x2="to:Q",
        color=alt.Color("kind:N", scale=alt.Scale(domain=list(KINDS), range=list(KINDS.values()))),
        tooltip=["part:N", alt.Tooltip("amount:N", title=unit), "kind:N"],
    )  # fmt: skip
    numbers = (
        alt.Chart(data).mark_text(align="left", dx=4, color=INK, fontSize=11).encode(y=y, x="end:Q", text="amount:N")
    )
    shown = data.drop(columns=["step", "end"])
    return Chart(dressed(bars + numbers, height=ROW * len(data) + 40), _sentence(data, unit), shown)


def _sentence(data: pd.DataFrame, unit: str) -> str:
    sums = data[data["kind"] == "comes to"]
    led = ", ".join(f"{name} {amount}" for name, amount in zip(sums["part"], sums["amount"], strict=True))
    return f"Each bar begins where the one before ends; the prices they lead to: {led} {unit}."


def _kind(added: float) -> str:
    return "adds" if added > 0 else "takes off"


def _labels(names: list[str]) -> str:
    """An expression that puts names in the place of numbers: the same part may stand in several steps."""
    listed = ", ".join("'" + name.replace("'", "\\'") + "'" for name in names)
    return f"[{listed}][datum.value]"
