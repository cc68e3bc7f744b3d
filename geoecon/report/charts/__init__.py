"""Charts of a result or a study, each with the sentence that says what it shows. Pure: a result in, a chart out."""

from geoecon.report.charts.breakeven import breakeven_bars
from geoecon.report.charts.decision import criteria_bars
from geoecon.report.charts.frame import Chart, picture_file
from geoecon.report.charts.frontiers import frontier_line, success_lines
from geoecon.report.charts.grids import heat_map
from geoecon.report.charts.outputs import output_by_air, output_by_brine
from geoecon.report.charts.stack import cost_steps
from geoecon.report.charts.sweeps import sweep_line, sweep_sentence
from geoecon.report.charts.tornado import spider_lines, tornado_bars
from geoecon.report.charts.years import brine_temperature, cash_flow, ledger, monthly_energy, yearly_energy

__all__ = [
    "Chart", "breakeven_bars", "brine_temperature", "cash_flow", "cost_steps", "criteria_bars", "frontier_line", "heat_map",
    "ledger", "monthly_energy", "output_by_air", "output_by_brine", "picture_file", "spider_lines", "success_lines",
    "sweep_line", "sweep_sentence", "tornado_bars", "yearly_energy",
]  # fmt: skip
