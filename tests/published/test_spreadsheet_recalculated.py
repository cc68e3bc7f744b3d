"""The functions of finance against a spreadsheet that works them out: LibreOffice Calc, on a workbook written here.

Not published values but a third implementation. Streams, loans and assets are drawn from a fixed seed; the flows and the loan
of a shipped case come from a pass. Every formula is written with a stored value of -999, so that a value that was only
carried over is seen. The workbook goes through Calc once, in a profile of its own that tells it to recalculate all it loads.

The sheet's NPV discounts its first value by a year as well, so it is carried forward by as many years as come before year 1.
"""

import os
import shutil
import signal
import subprocess
from dataclasses import dataclass

import numpy as np
import openpyxl
import pytest
import xlsxwriter
from xlsxwriter.utility import xl_range, xl_rowcol_to_cell

from geoecon import evaluate, load_case, shipped_case
from geoecon.arrays import Floats, column
from geoecon.finance.debt import LoanTerms, borrow
from geoecon.finance.depreciation import depreciate, straight_line
from geoecon.finance.discounting import present_value
from geoecon.finance.measures import modified_rate_of_return, rate_of_return
from geoecon.finance.prices import growing
from geoecon.finance.rates import capital_recovery_factor

SPOILED = -999
PATIENCE_S = 240
CLOSE = 1e-9
ROWS = 24
YEARS = 25

RECALCULATE_ALWAYS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item></oor:items>
"""

# sheet -> what is asked -> formula; a name in braces is the cell, or the range, of that number in the same row
FORMULAS = {
    "streams": {
        "value": "NPV({rate},{flows})*(1+{rate})",
        "rate of return": "IRR({flows})",
        "rate of return below zero": "IRR({shrinking},-0.05)",
        "modified rate of return": "MIRR({with_loss},{rate},{reinvested})",
    },
    "loans": {
        "payment": "PMT({rate},{periods},-{amount})",
        "interest": "IPMT({rate},{period},{periods},-{amount})",
        "principal": "PPMT({rate},{period},{periods},-{amount})",
        "interest of some periods": "-CUMIPMT({rate},{periods},{amount},{period},{until},0)",
        "principal of some periods": "-CUMPRINC({rate},{periods},{amount},{period},{until},0)",
        "capital recovery": "PMT({rate},{periods},-1)",
    },
    "assets": {
        "straight line": "SLN({cost},{salvage},{years})",
        "growth from one value to another": "_xlfn.RRI({years},{salvage},{cost})",
        "price that grows": "FV({growth},{years}-1,0,-{cost})",
    },
    "case": {
        "npv": "NPV({discount},{project})*(1+{discount})^{build_years}",
        "irr_project": "IRR({project})",
        "mirr": "MIRR({project},{discount},{discount})",
        "npv_equity": "NPV({wanted},{equity})*(1+{wanted})^{build_years}",
        "irr_equity": "IRR({equity})",
        "price_levelized_nominal": "NPV({discount},{revenue})/NPV({discount},{energy})",
    },
    "loan of the case": {
        "interest": "IPMT({rate},{year},{years},-{debt})",
        "principal": "PPMT({rate},{year},{years},-{debt})",
        "service": "PMT({rate},{years},-{debt})",
        "interest to date": "-CUMIPMT({rate},{years},{debt},1,{year},0)",
        "owed before": "FV({rate},{year}-1,PMT({rate},{years},-{debt}),-{debt})",
    },
}


@dataclass(frozen=True)
class Sheet:
    """Numbers by name, (row,) or (row, column), and what we make of them for each formula, (row,)."""

    numbers: dict[str, Floats]
    ours: dict[str, Floats]


def streams(random):
    """An outlay and what it earns; less than it cost; with a loss amid the earnings."""
    flows = random.uniform(1.0, 20.0, (ROWS, YEARS + 1))
    flows[:, 0] = -random.uniform(30.0, 90.0, ROWS)
    shrinking, with_loss = flows.copy(), flows.copy()
    shrinking[:, 0] = -random.uniform(1.1, 1.6, ROWS) * flows[:, 1:].sum(axis=1)
    with_loss[:, 5] *= -1
    rate, reinvested = random.uniform(0.01, 0.15, (2, ROWS))
    times = column(np.arange(YEARS + 1))
    ours = {
        "value": present_value(flows.T, rate, times),
        "rate of return": rate_of_return(flows.T, times)[0],
        "rate of return below zero": rate_of_return(shrinking.T, times)[0],
        "modified rate of return": modified_rate_of_return(with_loss.T, rate, reinvested, times)[0],
    }
    numbers = {"rate": rate, "reinvested": reinvested, "flows": flows, "shrinking": shrinking, "with_loss": with_loss}
    return Sheet(numbers, ours)


def loans(random):
    """Level loans of 2 to 40 years and one of 360 months, asked at a period and from there to a later one."""
    periods = np.append(random.integers(2, 41, ROWS - 1), 360)
    rate = np.append(random.uniform(0.01, 0.15, ROWS - 1), 0.055 / 12)
    amount = random.uniform(1e3, 1e8, ROWS)
    period = random.integers(1, periods + 1)
    until = random.integers(period, periods + 1)
    ours = {name: np.empty(ROWS) for name in FORMULAS["loans"]}
    for row in range(ROWS):
        interest, principal = repaid(amount[row], rate[row], int(periods[row]))
        asked = slice(period[row] - 1, until[row])
        ours["payment"][row] = interest[0] + principal[0]
        ours["interest"][row], ours["principal"][row] = interest[period[row] - 1], principal[period[row] - 1]
        ours["interest of some periods"][row] = interest[asked].sum()
        ours["principal of some periods"][row] = principal[asked].sum()
        ours["capital recovery"][row] = capital_recovery_factor(rate[row], int(periods[row]))
    numbers = {"amount": amount, "rate": rate, "periods": periods, "period": period, "until": until}
    return Sheet(numbers, ours)


def repaid(amount, rate, periods):
    """Interest and principal of each period of a level loan."""
    terms = LoanTerms(np.ones(1), np.array([rate]), np.zeros(1), periods, "level", 0)
    loan = borrow(column([amount] + [0.0] * periods), terms, 1)
    return loan.interest[1:, 0], loan.principal[1:, 0]


def assets(random):
    """What is bought, what is left of it, and how many years lie between; a price that grows."""
    cost, left = random.uniform(1e4, 1e7, ROWS), random.uniform(0.05, 0.6, ROWS)
    years, growth = random.integers(2, 31, ROWS), random.uniform(-0.02, 0.06, ROWS)
    salvage = cost * left
    ours = {name: np.empty(ROWS) for name in FORMULAS["assets"]}
    for row, life in enumerate(years):
        rows = np.arange(life + 1)
        written_off = np.where(rows == 0, cost[row] - salvage[row], 0.0)
        ours["straight line"][row] = depreciate(column(written_off), straight_line(life), 1)[-1, 0]
        bought_and_sold = np.where(rows == 0, -salvage[row], np.where(rows == life, cost[row], 0.0))
        ours["growth from one value to another"][row] = rate_of_return(column(bought_and_sold), column(rows))[0][0]
        path = growing(cost[row : row + 1], growth[row : row + 1], life, None, np.ones((life + 1, 1)), 1)
        ours["price that grows"][row] = path.nominal[-1, 0]
    return Sheet({"cost": cost, "salvage": salvage, "years": years, "growth": growth}, ours)


def of_case(result):
    """Yearly flows of a case in one row, and its metrics."""
    annual = {name: result.annual[name].T for name in ("cash_flow_project", "cash_flow_equity", "revenue")}
    numbers = {
        "discount": result.asked["discount_rate"],
        "wanted": result.asked["equity_return"],
        "build_years": np.array([result.build_years]),
        "project": annual["cash_flow_project"],
        "equity": annual["cash_flow_equity"],
        "revenue": annual["revenue"],
        "energy": result.annual["delivered_energy"].T,
    }
    return Sheet(numbers, {name: result.metrics[name].values for name in FORMULAS["case"]})


def loan_of_case(result):
    """The years of the loan of a case, one a row."""
    years, first = result.case.finance.debt_years, result.build_years
    rows = slice(first, first + years)
    interest, principal = result.annual["interest"][rows, 0], result.annual["principal"][rows, 0]
    every = np.ones(years)
    numbers = {
        "rate": result.loan_rate * every,
        "years": years * every,
        "debt": result.metrics["debt"].values * every,
        "year": np.arange(1, years + 1),
    }
    ours = {
        "interest": interest,
        "principal": principal,
        "service": interest + principal,
        "interest to date": np.cumsum(interest),
        "owed before": result.annual["debt_balance"][first - 1 : first + years - 1, 0],
    }
    return Sheet(numbers, ours)


@pytest.fixture(scope="module")
def sheets():
    random = np.random.default_rng(20261125)
    result = evaluate(load_case(shipped_case("ambry-wells")))
    assert (np.diff(result.times[:, 0]) == 1).all()  # the sheet's functions know whole years only
    return {
        "streams": streams(random),
        "loans": loans(random),
        "assets": assets(random),
        "case": of_case(result),
        "loan of the case": loan_of_case(result),
    }


@pytest.fixture(scope="module")
def recalculated(sheets, tmp_path_factory):
    """What Calc makes of each formula: sheet -> name -> values, one a row."""
    folder = tmp_path_factory.mktemp("calc")
    written, out, profile = folder / "book.xlsx", folder / "out", folder / "profile"
    write(sheets, written)
    through_calc(written, out, profile)
    book = openpyxl.load_workbook(out / written.name, data_only=True)
    return {
        name: {title: values for title, *values in book[name].iter_cols(values_only=True) if title in formulas}
        for name, formulas in FORMULAS.items()
    }


def write(sheets, file):
    """A workbook with one sheet for each: names on top, numbers, then formulas whose stored values are spoiled."""
    with xlsxwriter.Workbook(file) as book:
        for name, sheet in sheets.items():
            page, at, places = book.add_worksheet(name), 0, {}
            rows = range(1, len(next(iter(sheet.numbers.values()))) + 1)
            for title, numbers in sheet.numbers.items():
                block = np.asarray(numbers, dtype=np.float64).reshape(len(numbers), -1)
                page.write(0, at, title.replace("_", " "))
                for row, values in zip(rows, block, strict=True):
                    page.write_row(row, at, values)
                places[title] = at, at + block.shape[1] - 1
                at += block.shape[1]
            for title, formula in FORMULAS[name].items():
                page.write(0, at, title)
                for row in rows:
                    cells = {of: cells_of(row, *place) for of, place in places.items()}
                    page.write_formula(row, at, "=" + formula.format(**cells), None, SPOILED)
                at += 1


def cells_of(row, first, last):
    return xl_rowcol_to_cell(row, first) if first == last else xl_range(row, first, row, last)


def through_calc(file, out, profile):
    """Load and save the workbook with everything recalculated; fails with what Calc said where it gives no file."""
    office = shutil.which("soffice")
    if office is None:
        pytest.fail(
            "there is no LibreOffice Calc to recalculate with; install it: apt-get install libreoffice-calc-nogui"
        )
    (profile / "user").mkdir(parents=True)
    (profile / "user" / "registrymodifications.xcu").write_text(RECALCULATE_ALWAYS, encoding="utf-8")
    command = [office, f"-env:UserInstallation={profile.as_uri()}", "--headless", "--norestore"]
    command += ["--convert-to", "xlsx", "--outdir", str(out), str(file)]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, start_new_session=True
    ) as running:
        try:
            said, _ = running.communicate(timeout=PATIENCE_S)
        except subprocess.TimeoutExpired:
            os.killpg(running.pid, signal.SIGKILL)
            said = f"no answer in {PATIENCE_S} s"
    if not (out / file.name).exists():
        pytest.fail(f"LibreOffice gave no workbook back; is libreoffice-calc-nogui installed? It said: {said}")


@pytest.mark.parametrize(("sheet", "name"), [(sheet, name) for sheet in FORMULAS for name in FORMULAS[sheet]])
def test_calc_agrees(sheets, recalculated, sheet, name):
    theirs = recalculated[sheet][name]
    assert SPOILED not in theirs, "Calc carried a stored value over instead of working it out"
    assert sheets[sheet].ours[name] == pytest.approx(theirs, rel=CLOSE, abs=0)
