"""Pieces of the page of break-even values: the target, and what is shown for it."""

from collections.abc import Callable, Sequence

import streamlit as st

from geoecon.case import Case
from geoecon.report import charts
from geoecon.report.breakeven import HEADINGS, HEADINGS_MET, breakeven_told, first_value, footnotes, headline, rows
from geoecon.report.frontiers import curve_told, frontier_told
from geoecon.report.told import Told
from geoecon.report.words import plain_text
from geoecon.result import METRICS, Result
from geoecon.studies.frontiers import FLOW, TEMPERATURE
from geoecon.studies.targets import AT_LEAST, AT_MOST, LOWER_IS_BETTER
from geoecon.ui import parts, passes
from geoecon.ui.ruled_parts import folding

SENSES = {AT_LEAST: "at least", AT_MOST: "at most"}
WITHOUT_PRICE = "lcoe_real"
PRICE = "market.price"


def target_choice(case: Case, result: Result) -> tuple[str, bool]:
    """Ask for the target, first what the owner asks, and whether the plant stays as ordered; the target as a text."""
    usual = passes.usual_target_of(case)
    first = usual.metric if usual else WITHOUT_PRICE
    columns = st.columns([4, 2, 2, 2], vertical_alignment="bottom")
    metric = columns[0].selectbox(
        "Figure", list(METRICS), index=list(METRICS).index(first), key=f"breakeven:metric:{first}",
        format_func=lambda m: parts.option(m, METRICS[m].meaning),
    )  # fmt: skip
    senses = list(SENSES)
    sense = columns[1].selectbox(
        "has to be", senses, index=int(metric in LOWER_IS_BETTER), key=f"breakeven:sense:{metric}",
        format_func=lambda s: SENSES[s],
    )  # fmt: skip
    text = first_value(result, metric, usual)
    asked = columns[2].text_input("Value, with its unit", value=text, key=f"breakeven:value:{metric}:{text}")
    hold = columns[3].toggle("Hold the plant", key="breakeven:hold", help="Keep the plant as ordered for the case.")
    return f"{metric} {sense} {asked}", hold


def alone(case: Case, asked: str, hold: bool, system: str) -> None:
    """What each input alone would have to be."""
    known = passes.inputs(case)
    usual = {*passes.uncertain_inputs(case), PRICE}
    others = [path for path, input_ in known.items() if input_.about.varies and path not in usual]
    extra = st.multiselect(
        "Also try", others, key="breakeven:also", help="Uncertain inputs and the price are tried in any case.",
        format_func=lambda path: parts.option(path, known[path].about.help), placeholder="any other number of the case",
    )  # fmt: skip
    found = passes.needs_of(case, asked, tuple(extra), hold)
    if isinstance(found, str):
        st.error(plain_text(found))
        return
    st.markdown(f"#### {plain_text(headline(found, system))}")
    heading = HEADINGS_MET if found.met else HEADINGS
    listed = [row.cells() for row in rows(found, system)]
    _list("Inputs that can alone", heading, [cells for cells in listed if cells[-1]])
    nothing = ("input", "as it is", "alone it changes nothing of that")
    _list("Inputs that cannot", nothing, [cells[:3] for cells in listed if not cells[-1]])
    for note in footnotes(found, system):
        st.caption(plain_text(note))
    parts.chart(charts.breakeven_bars(found, system), "How far that is, in chances")
    _download(breakeven_told(found), "breakeven.csv")


def _list(title: str, heading: Sequence[str], texts: Sequence[tuple[str, ...]]) -> None:
    """Rows of texts under their headings; nothing where there are none."""
    if texts:
        folding(title, heading, texts)


def together(case: Case, asked: str, hold: bool, system: str) -> None:
    """Pairs of two inputs that just meet the target."""
    pair = _pair(case, "pairs", ("First input", "Second input"), (TEMPERATURE, PRICE))
    if pair is None:
        return
    found = passes.pairs_of(case, asked, *pair, hold)
    if isinstance(found, str):
        st.error(plain_text(found))
        return
    parts.chart(charts.frontier_line(found, system), "Pairs that just meet it")
    _download(frontier_told(found), "frontier.csv")


def curve(case: Case, asked: str, hold: bool, system: str) -> None:
    """Lines of equal value over two inputs, with wells among them."""
    pair = _pair(case, "lines", ("Across", "Up"), (TEMPERATURE, FLOW))
    if pair is None:
        return
    wells = st.text_area(
        "Wells, one a line", key="breakeven:wells", height=90, placeholder="NAME: 155 degC, 1300 gpm @ 155 degC",
        help="Name, a colon, and the values of both inputs with their units, parted by a comma and a space.",
    )  # fmt: skip
    listed = tuple(line.strip() for line in (wells or "").splitlines() if line.strip())
    found = passes.lines_of(case, asked, *pair, listed, hold)
    if isinstance(found, str):
        st.error(plain_text(found))
        return
    parts.chart(charts.success_lines(found, system), "Lines of equal value")
    _download(curve_told(found), "success-curve.csv")


VIEWS: dict[str, Callable[[Case, str, bool, str], None]] = {
    "Each input alone": alone,
    "Two inputs together": together,
    "Success curve": curve,
}


def _pair(case: Case, key: str, labels: tuple[str, str], usual: tuple[str, str]) -> tuple[str, str] | None:
    """Ask for two inputs that may vary; first the usual ones, where the case states them."""
    known = passes.inputs(case)
    paths = [path for path, input_ in known.items() if input_.about.varies]
    uncertain = [path for path in passes.uncertain_inputs(case) if path not in usual]
    first = [path for path in (*usual, *uncertain, *paths) if path in paths]
    firsts = list(dict.fromkeys(first))[:2]
    chosen = []
    for column, label, start in zip(st.columns(2), labels, firsts, strict=False):
        chosen.append(
            column.selectbox(
                label, paths, index=paths.index(start), key=f"breakeven:{key}:{label}:{start}",
                format_func=lambda path: parts.option(path, known[path].about.help),
            )
        )  # fmt: skip
    if len(chosen) < 2 or chosen[0] == chosen[1]:
        st.error("Choose two different inputs.")
        return None
    return chosen[0], chosen[1]


def _download(told: Told, name: str) -> None:
    parts.take_along("Numbers (CSV)", told.columns, name)
