"""Charts of a result or a study, each with the sentence that says what it shows. Pure: a result in, a chart out."""

from geoecon.report.charts.frame import Chart, picture_file
from geoecon.report.charts.sweeps import sweep_line, sweep_sentence
from geoecon.report.charts.years import cash_flow, ledger, monthly_energy, yearly_energy

__all__ = [
    "Chart", "cash_flow", "ledger", "monthly_energy", "picture_file", "sweep_line", "sweep_sentence", "yearly_energy",
]  # fmt: skip
