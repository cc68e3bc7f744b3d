"""Decline of flow and the return of cold water against printed and independently computed figures.

Decline: J. J. Arps, Trans. AIME 160 (1945), closed forms worked out by hand; B. Guo, W. C. Lyons and A. Ghalambor, Petroleum
Production Engineering (2007), example 8.1 (printed totals from memory). Doublet: A. C. Gringarten and J. P. Sauty, J. Geophys.
Res. 80 (1975); sweep: H. A. Lauwerier, Appl. Sci. Res. A 5 (1955); fracture: H. C. H. Armstead and J. W. Tester, Heat Mining
(1987): forms from memory, so each is solved here in another way, along streamlines and by finite differences.
"""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.linalg import solve_banded
from scipy.special import erf, erfc

from geoecon.resource import breakthrough
from geoecon.resource.breakthrough import Flow, cold_share, conduction_years, doublet_breakthrough, sweep_front
from geoecon.resource.decline import remaining_flow
from geoecon.resource.stored_heat import SECONDS_A_YEAR

PAIR = {"spacing_m": 1000.0, "thickness_m": 100.0, "carries": 150 / 3600 * 4.18e6, "layer": 2.412e6}
STRIP = {"spacing_m": 500.0, "thickness_m": 50.0, "width_m": 100.0, "carries": 1e-6 * 50 * 100 * 4.2e6, "layer": 2.5e6,
         "rock": 2.3e6, "conductivity": 2.5}  # fmt: skip


def flow(**given):
    """A flow of one scenario; what is not given has no part."""
    names = ("carries", "spacing_m", "thickness_m", "width_m", "layer", "rock", "conductivity", "face_m2")
    return Flow(**{name: np.array([given.get(name, np.nan)]) for name in names})


def at(path, of, years):
    """Share of the way at a moment: the slope of its integral  [1]."""
    step = 1e-4
    after, before = (breakthrough.RETURNS[path](of, np.array([[years + s]]))[0, 0] for s in (step, -step))
    return (after - before) / (2 * step)


# --- decline ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("exponent", "rates", "total"),
    [
        (0.0, {1: 90.4837, 5: 60.6531, 10: 36.7879, 20: 13.5335}, 864.6647),
        (0.5, {1: 90.7029, 5: 64.0, 10: 44.4444, 20: 25.0}, 1000.0),
        (1.0, {1: 90.9091, 5: 66.6667, 10: 50.0, 20: 33.3333}, 1098.6123),
    ],
)
def test_arps_of_one_tenth_a_year(agree, exponent, rates, total):
    """Nominal decline of 0.10 a year; what is left after the first year says the same of every shape."""
    shape = {0.0: "exponential", 0.5: "hyperbolic", 1.0: "harmonic"}[exponent]
    loss = 1 - (math.exp(-0.1) if exponent == 0 else (1 + exponent * 0.1) ** (-1 / exponent))
    means = remaining_flow(shape, np.array([loss]), np.array([0.5]), 20)[:, 0]
    agree(100 * means.sum(), total, digits=6, what="total of 20 years")

    def rate(t):
        return 100 * (math.exp(-0.1 * t) if exponent == 0 else (1 + exponent * 0.1 * t) ** (-1 / exponent))

    for year, printed in rates.items():
        agree(rate(year), printed, digits=5.5, what=f"{shape}, rate after {year}")
        over_year, _ = quad(rate, year - 1, year)
        agree(100 * means[year - 1], over_year, digits=10, what=f"{shape}, mean of year {year}")


def test_four_per_cent_in_the_first_month(agree):
    """100 to 96 barrels a day in one month, exponential; the printed totals round on the way, hence 0.2 %."""
    loss = 1 - 0.96**12
    means = remaining_flow("exponential", np.array([loss]), np.array([0.5]), 5)[:, 0]
    agree(100 * (1 - loss), 61.27, digits=4, what="rate after 12 months")
    for year, total in enumerate((28858, 17681, 10834, 6639, 4061)):
        agree(100 * means[year] * 365, total, within=0.002, what=f"total of year {year + 1}")


# --- doublet ---------------------------------------------------------------------------------------------------------


def test_breakthrough_of_the_example(agree):
    agree(doublet_breakthrough(**{k: np.array(v) for k, v in PAIR.items()}), 45.96, digits=4, what="years")
    thin = PAIR | {"thickness_m": 20.0}
    agree(doublet_breakthrough(**{k: np.array(v) for k, v in thin.items()}), 9.19, digits=3, what="20 m thick")
    share = breakthrough.tracer_share(np.array(0.15), np.array(PAIR["layer"]), np.array(4.18e6))
    agree(1 / share, 3.847, digits=4, what="retardation")
    agree(45.955 * share, 11.95, digits=3, what="years of a tracer")


def test_breakthrough_along_the_straight_line(agree):
    """The fastest water moves on the line between the wells, driven by a source and a sink; cold lags behind water."""
    half, strength = 500.0, 150 / 3600 / (2 * math.pi * 100.0)
    darcy = lambda x: strength * (1 / (half + x) + 1 / (half - x))  # noqa: E731
    seconds, _ = quad(lambda x: PAIR["layer"] / 4.18e6 / darcy(x), -half, half)
    ours = doublet_breakthrough(**{k: np.array(v) for k, v in PAIR.items()})
    agree(ours, seconds / SECONDS_A_YEAR, digits=8, what="years, by integral")


def arrivals_by_streamlines(count, times):
    """Share of streamlines of a unit doublet arrived at each of `times`, which are over the first arrival.

    Each is followed through the field of a source at -1 and a sink at 1 in small steps along its own arc, from the angle at
    which it leaves; no closed form of its time is used.
    """
    angles = (np.arange(count) + 0.5) * math.pi / count
    taken = []
    for angle in angles:
        radius = 1 / math.sin(angle)  # the arc through both wells that leaves the source at `angle`
        centre = -math.cos(angle) * radius
        turn = np.linspace(-angle, angle, 4001)
        middle = (turn[1:] + turn[:-1]) / 2
        x, y = radius * np.sin(middle), centre + radius * np.cos(middle)
        near, far = (x + 1) ** 2 + y**2, (x - 1) ** 2 + y**2
        u = (x + 1) / near - (x - 1) / far
        v = y / near - y / far
        taken.append((radius * np.diff(turn) / np.hypot(u, v)).sum())
    first = 2 / 3  # of the straight line: integral of (1 - x^2) / 2 from -1 to 1
    return np.array([(np.array(taken) / first <= t).mean() for t in times])


def test_share_that_has_arrived_by_following_streamlines():
    times = np.array([1.05, 1.2, 1.5, 2.0, 3.0, 5.0])
    step = 1e-6
    ours = (breakthrough.arrived(times + step) - breakthrough.arrived(times - step)) / (2 * step)
    assert ours == pytest.approx(arrivals_by_streamlines(800, times), abs=2.5e-3)


# --- sweep and fracture ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("years", "share"), [(20, 0.658), (30, 0.751), (50, 0.8215), (100, 0.880)])
def test_sweep_of_the_example(agree, years, share):
    agree(at("sweep", flow(**STRIP), years), share, within=8e-4, what=f"share after {years} years")


def swept(years, steps):
    """The outlet of the same strip by finite differences: moved layer, half-space of rock beside each cell, implicit.

    Time steps move the front by just one cell, so that it stays sharp; each cell then gives heat to a column of rock.
    """
    of = flow(**STRIP)
    front = float(sweep_front(of)[0]) * SECONDS_A_YEAR
    dt = front / steps
    count = round(years * SECONDS_A_YEAR / dt)
    cells, points = steps, 160
    growth = 1.06
    dz = 0.25 * growth ** np.arange(points)
    between = np.concatenate([[dz[0] / 2], (dz[1:] + dz[:-1]) / 2])
    layer, rock = STRIP["layer"] * STRIP["thickness_m"] / 2, STRIP["rock"] * dz  # one side of a layer, by symmetry
    pass_on = STRIP["conductivity"] / between
    capacity = np.concatenate([[layer], rock]) / dt
    upper = np.concatenate([[0.0], -pass_on])
    lower = np.concatenate([-pass_on, [0.0]])
    diagonal = capacity.copy()
    diagonal[:-1] += pass_on
    diagonal[1:] += pass_on
    bands = np.vstack([upper, diagonal, lower])
    share = np.zeros((points + 1, cells))
    for _ in range(count):
        share[0] = np.concatenate([[1.0], share[0, :-1]])
        share = solve_banded((1, 1), bands, capacity.reshape(-1, 1) * share)
    return share[0, -1]


def test_sweep_by_finite_differences():
    coarse, fine = swept(50.0, 100), swept(50.0, 200)
    extrapolated = 2 * fine - coarse
    assert at("sweep", flow(**STRIP), 50.0) == pytest.approx(extrapolated, abs=1.5e-3)


@pytest.mark.parametrize(
    ("flow_per_area", "left"),
    [
        (2e-5, {5: 0.9997, 10: 0.9895, 20: 0.9296, 30: 0.8604}),
        (1e-4, {1: 0.8944, 5: 0.5308, 10: 0.3912, 20: 0.2826}),
    ],
)
def test_fracture_table(agree, flow_per_area, left):
    """Conductivity 2.7 W/m/K, density 2,700 kg/m3, 1,000 J/kg/K, water of 4,200 J/kg/K."""
    of = flow(carries=flow_per_area * 4200, face_m2=1.0, conductivity=2.7, rock=2.7e6)
    for years, share in left.items():
        agree(1 - at("fracture", of, years), share, within=4e-4, what=f"{flow_per_area:g} kg/s/m2, year {years}")
        scale = math.sqrt(float(conduction_years(of, of.face_m2)[0]) / years)
        agree(1 - at("fracture", of, years), erf(scale), digits=7, what="error function of scipy")


def test_a_fracture_is_a_layer_without_thickness():
    thin = flow(**STRIP | {"thickness_m": 1e-6, "carries": STRIP["carries"]})
    face = flow(**STRIP | {"face_m2": STRIP["spacing_m"] * STRIP["width_m"]})
    assert cold_share("sweep", thin, 30) == pytest.approx(cold_share("fracture", face, 30), abs=1e-7)


def test_error_function_of_our_own():
    z = np.concatenate([np.linspace(0, 6.5, 4001), [1e-9, 40.0]])
    assert breakthrough.erfc(z) == pytest.approx(erfc(z), abs=1e-12)


@pytest.mark.parametrize("path", sorted(breakthrough.RETURNS))
def test_means_of_years_are_integrals(path):
    of = flow(
        **STRIP | PAIR | {"rock": 2.3e6, "conductivity": 2.5, "width_m": 100.0, "face_m2": 2e5, "thickness_m": 4.0}
    )
    means = cold_share(path, of, 12)[:, 0]
    for year in (1, 3, 8, 12):
        expected, _ = quad(lambda t: at(path, of, t), year - 1 + 1e-3, year - 1e-3, limit=400)
        assert means[year - 1] == pytest.approx(expected, abs=3e-3)
    assert means[-1] > 0.1
