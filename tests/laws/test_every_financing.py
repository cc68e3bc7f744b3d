"""Books balance and cash is conserved whatever owner, loan and rules of tax come together; sculpted cover is even."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geoecon import evaluate
from geoecon.arrays import over_years
from geoecon.audit import checks
from geoecon.finance.statement import cash_for_debt, rise
from tests.laws.strategies import cases, quoted, read, same

PRICES = np.array([30.0, 110.0, 340.0])  # below cost, about it, far above
ONLY = {
    "utility": ("allowed_return", '"8 %/yr"'),
    "cooperative": ("target_tier", "1.2"),
    "public": ("target_tier", "1.1"),
}


@st.composite
def loans(draw, life):
    """Fields of every kind of loan, which fits the life."""
    years, balloon = draw(st.integers(1, life - 3)), draw(st.booleans())
    found = {
        "debt_share": draw(quoted(5, 100, "%", 0)), "debt_rate": draw(quoted(0, 12, "%/yr")), "debt_years": str(years),
        "debt_shape": draw(st.sampled_from(['"level"', '"equal-principal"', '"sculpted"'])),
        "debt_sizing": draw(st.sampled_from(['"share"', '"cover"'])),
        "lender_energy": draw(quoted(70, 100, "%", 0)), "target_dscr": repr(draw(st.sampled_from([1.0, 1.35, 2.0]))),
        "grace_years": str(draw(st.integers(0, min(3, years - 1)))), "upfront_fee": draw(quoted(0, 5, "%")),
        "commitment_fee": draw(quoted(0, 2, "%/yr")), "construction_rate": draw(quoted(0, 12, "%/yr")),
        "reserve_months": draw(st.sampled_from(["0", "6", "24"])),
        "lockup_dscr": repr(draw(st.sampled_from([0.0, 1.2, 3.0]))),
    }  # fmt: skip
    if draw(st.booleans()) and found["debt_sizing"] != '"share"':
        del found["lender_energy"]
        found["lender_energy_by_year"] = f"[{draw(quoted(80, 100, '%', 0))}, {draw(quoted(40, 80, '%', 0))}]"
    if balloon:
        found |= {
            "balloon": draw(quoted(1, 95, "%", 0)), "refinance_years": str(draw(st.integers(1, life - years))),
            "refinance_rate": draw(quoted(0, 12, "%/yr")), "refinance_fee": draw(quoted(0, 3, "%")),
        }  # fmt: skip
    return {f"finance.{name}": value for name, value in found.items()}


@st.composite
def taxes(draw, owner):
    """Fields of every kind of tax and credit that an owner may have."""
    rules = draw(st.sampled_from(['"none"', '"plain"', '"us-2026"']))
    uses = [
        '"sold"',
        *(['"own"'] if rules != '"none"' else []),
        *(['"cash"'] if owner in ("public", "cooperative") else []),
    ]
    found = {
        "rules": rules, "credit": draw(st.sampled_from(['"none"', '"investment"', '"production"', '"best"'])),
        "credit_use": draw(st.sampled_from(uses)), "withholding": draw(quoted(0, 15, "%", 0)),
    }  # fmt: skip
    if rules != '"us-2026"':
        found |= {"credit_rate": '"25 %"', "credit_amount": '"9 USD/MWh"', "credit_basis_cut": '"50 %"'}
    if rules == '"plain"':
        found |= {
            "rate": draw(quoted(0, 45, "%", 0)), "depreciation_years": str(draw(st.integers(1, 25))),
            "depletion_rate": '"15 %"', "depletion_limit": '"50 %"',
        }  # fmt: skip
    if rules == '"us-2026"':
        found |= {
            "state_rate": draw(quoted(0, 10, "%")), "energy_community": draw(st.sampled_from(["true", "false"])),
            "depreciation_years": draw(st.sampled_from(["5", "7", "15", "20"])),
        }  # fmt: skip
    if rules != '"none"':
        found |= {
            "losses": draw(st.sampled_from(['"carried"', '"used"'])), "holiday_years": str(draw(st.integers(0, 5))),
            "intangible_share": draw(quoted(0, 100, "%", 0)), "interest_limit": draw(quoted(0, 60, "%", 0)),
            "loss_years": str(draw(st.integers(1, 20))), "depletion": '"percentage"', "property_share": '"30 %"',
        }  # fmt: skip
    return {f"tax.{name}": value for name, value in found.items()}


@st.composite
def financed(draw):
    """Path -> value of a case with any owner, loan and tax together."""
    values = draw(cases(debt=False, tax=False, credit=False))
    owner = draw(st.sampled_from(["private", "utility", "cooperative", "public"]))
    values |= (
        {"project.owner": f'"{owner}"'} | draw(loans(int(values["timeline.operating_years"]))) | draw(taxes(owner))
    )
    if draw(st.booleans()):
        values["capital.decommissioning_fund_years"] = str(draw(st.integers(1, 20)))
    if owner in ONLY and draw(st.booleans()):
        name, value = ONLY[owner]
        values[f"finance.{name}"] = value
    return values


def at_every_price(values):
    return evaluate(read(values).with_values({"market.price": PRICES}))


@given(financed())
def test_books_balance_and_every_check_holds(values):
    result = at_every_price(values)
    failed = {check.name: check.off for check in checks(result) if not check.holds}
    assert failed == {}


@given(financed())
def test_cash_is_conserved(values):
    """What the owner gets over the life is what came in less what went out, and no money is left anywhere."""
    result = at_every_price(values)
    a, books = result.annual, result.books
    came = over_years(a["revenue"] + a["grant"] + a["debt_drawn"])
    names = ("operating_cost", "capital", "decommissioning", "fees", "interest", "principal", "tax", "withheld")
    went, owner = sum(over_years(a[name]) for name in names), over_years(a["cash_flow_equity"])
    assert same(owner, came - went, size=np.nan_to_num(came) + np.nan_to_num(went))
    sheet = {side: sum(lines.values()) for side, lines in books.balance_sheet.items()}
    size = np.nan_to_num(over_years(a["capital"]))
    assert same(sheet["assets"], sheet["debt"] + sheet["equity"], size=size)
    assert same(sheet["assets"][-1] + 0 * owner, 0 * owner, size=size)
    assert same(sum(books.uses.values()), sum(books.sources.values()), size=size)
    building = slice(result.build_years)
    put_in = a["capital"] + a["interest"] + a["fees"] + rise(a["reserve_balance"]) - a["debt_drawn"] - a["grant"]
    assert same(-a["cash_flow_equity"][building], put_in[building] + a["tax"][building], size=size)


@given(financed())
def test_sculpted_cover_is_even(values):
    """Over the years of repayment of a sculpted loan, in the lender's case, wherever there is cash to be followed."""
    values |= {"finance.debt_shape": '"sculpted"'}
    result = at_every_price({path: value for path, value in values.items() if path != "finance.balloon"
                             and not path.startswith("finance.refinance")})  # fmt: skip
    case, financing = result.case, result.books.financing
    counted_on = result.annual["price"] * financing.terms.loan.downside * financing.kept_energy
    first = result.build_years
    rows = slice(first + case.finance.grace_years, first + case.finance.debt_years)
    cash, service = cash_for_debt(financing, counted_on)[rows], financing.loan.service[rows]
    followed = (cash > 0).all(axis=0) & (financing.loan.amount > 1)
    cover = cash[:, followed] / service[:, followed]
    assert np.ptp(cover, axis=0) == pytest.approx(0, abs=1e-6 * np.abs(cover).max(initial=1))
    if case.finance.debt_sizing == "cover" and not case.finance.grace_years:
        assert (cover >= case.finance.target_dscr * (1 - 1e-6)).all()
