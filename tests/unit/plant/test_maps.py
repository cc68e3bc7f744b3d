"""The performance map: exact on its grid, between its neighbours inside, a sentence outside; and a vendor's table as one."""

import numpy as np
import pytest

from geoecon.plant.binary import CycleTerms, cycles
from geoecon.plant.mapped import BinaryPlant, VendorPlant
from geoecon.plant.maps import COLUMNS, MapFileError, MapRangeError, binary_map, vendor_map
from geoecon.plant.properties import fine_table

TERMS = CycleTerms(0.82, 0.72, 0.95, 5.0, 18.0, 0.011, 0.015, floor_degC=65.0)
BRINE, AIR = np.array([120.0, 135.0, 150.0]), np.array([-5.0, 5.0, 20.0, 30.0])


@pytest.fixture(scope="module")
def powers():
    return binary_map("isopentane", TERMS, BRINE, AIR)


def test_exact_on_the_grid(powers):
    gross, net, injection = powers.at(*np.meshgrid(BRINE, AIR, indexing="ij"))
    assert np.array_equal(gross, powers.gross)
    assert np.array_equal(net, powers.net)
    assert np.array_equal(injection, powers.injection)


def test_grid_holds_the_cycles(powers):
    for j, air in enumerate(AIR):
        made = cycles(fine_table("isopentane"), TERMS, BRINE, float(air))
        assert np.array_equal(powers.net[:, j], made.net)
        assert np.array_equal(powers.gross[:, j], made.gross)
        assert np.array_equal(powers.injection[:, j], made.injection)


def test_between_the_corners_inside(powers):
    inside = np.random.default_rng(5)
    brine, air = inside.uniform(120, 150, 400), inside.uniform(-5, 30, 400)
    i, j = np.searchsorted(BRINE, brine) - 1, np.searchsorted(AIR, air) - 1
    for values, found in zip((powers.gross, powers.net, powers.injection), powers.at(brine, air), strict=True):
        corners = np.array([values[i, j], values[i + 1, j], values[i, j + 1], values[i + 1, j + 1]])
        assert (found >= corners.min(axis=0) - 1e-9).all()
        assert (found <= corners.max(axis=0) + 1e-9).all()
    middle = powers.at(np.array([127.5]), np.array([0.0]))[1][0]
    assert middle == pytest.approx(powers.net[:2, :2].mean(), rel=1e-12)


@pytest.mark.parametrize(("brine", "air", "named"), [
    (119.9, 10.0, "brine at 119.9 degC with air at 10.0 degC"),
    (150.1, 10.0, "brine at 150.1 degC"),
    (130.0, -5.5, "air at -5.5 degC"),
    (130.0, 31.0, "air at 31.0 degC"),
])  # fmt: skip
def test_outside_says_what_and_where(powers, brine, air, named):
    with pytest.raises(MapRangeError, match="outside the plant's map") as fault:
        powers.at(np.array([130.0, brine]), np.array([10.0, air]))
    assert named in str(fault.value)
    assert "120 to 150 degC, -5 to 30 degC" in str(fault.value)


def test_unknown_stays_unknown(powers):
    gross, net, injection = powers.at(np.array([np.nan, 130.0, 130.0, np.nan]), np.array([10.0, np.nan, 10.0, 999.0]))
    for values in (gross, net, injection):
        assert np.isnan(values).tolist() == [True, True, False, True]


def test_shapes_broadcast(powers):
    net = powers.at(np.array([[130.0], [140.0]]), np.array([0.0, 10.0, 20.0]))[1]
    assert net.shape == (2, 3)


@pytest.mark.parametrize("spread", [0.0, 4.0])
def test_months_are_what_one_lookup_gives(powers, spread):
    """Whether the air is the same in all scenarios or not, and with brine that is unknown in one."""
    draws = np.random.default_rng(8)
    brine, air = (
        draws.uniform(120, 150, (5, 7)),
        np.linspace(-1, 26, 12).reshape(-1, 1) + spread * draws.uniform(-1, 1, 7),
    )
    brine[:, 3] = np.nan
    for row, (gross, net) in zip(air, powers.monthly(brine, air), strict=True):
        assert np.array_equal(gross, powers.at(brine, row)[0], equal_nan=True)
        assert np.array_equal(net, powers.at(brine, row)[1], equal_nan=True)
    with pytest.raises(MapRangeError, match="brine at 119"):
        next(powers.monthly(np.array([[130.0, 119.0]]), air[:, :2]))
    with pytest.raises(MapRangeError, match="air at 31"):
        next(powers.monthly(brine, air + np.where(np.arange(7) == 2, 31 - air.max(axis=0), 0.0)))


@pytest.mark.parametrize("floor", [None, 65.0])
def test_map_does_not_depend_on_what_else_is_asked(floor):
    plant = BinaryPlant("isopentane", CycleTerms(0.82, 0.72, 0.95, 5.0, 18.0, 0.011, 0.015, floor_degC=floor))
    brine, air = np.array([141.3]), np.array([7.7])
    alone = [values[0] for values in plant.over(brine, air).at(brine, air)]
    for other_brine, other_air in ((95.0, 7.7), (199.0, -31.0), (30.0, 44.0), (np.nan, np.nan), (300.0, 60.0)):
        wide = plant.over(np.array([other_brine, 141.3]), np.array([other_air, 7.7]))
        assert [values[0] for values in wide.at(brine, air)] == alone


def test_nothing_known_makes_a_map_all_the_same():
    plant = BinaryPlant("isopentane", TERMS)
    unknown = np.array([np.nan])
    assert np.isnan(plant.over(unknown, unknown).at(unknown, unknown)[1]).all()


@pytest.mark.parametrize(("brine", "air"), [(320.0, 10.0), (25.0, 10.0), (150.0, -61.0), (150.0, 61.0)])
def test_no_map_is_made_beyond_its_limits(brine, air):
    plant = BinaryPlant("isopentane", TERMS)
    brine, air = np.array([brine]), np.array([air])
    assert not plant.covers(brine, air)[0]
    assert plant.range_in_words() == "brine 30 to 300 degC, air -60 to 60 degC"
    with pytest.raises(MapRangeError, match="outside what a plant's map is made for"):
        plant.over(brine, air)


HEADER = ",".join(COLUMNS)
ROWS = ("120,0,20,70", "120,30,12,74", "150,0,36,66", "150,30,26,69")
GOOD = "\n".join((HEADER, *ROWS))


def test_vendor_table_is_read():
    powers = vendor_map(GOOD)
    assert powers.brine.tolist() == [120, 150]
    assert powers.air.tolist() == [0, 30]
    assert powers.net.tolist() == [[20, 12], [36, 26]]
    assert powers.injection.tolist() == [[70, 74], [66, 69]]
    assert np.array_equal(powers.gross, powers.net)
    assert powers.at(np.array([135.0]), np.array([15.0]))[1][0] == pytest.approx(23.5)
    plant = VendorPlant(powers)
    assert plant.range_in_words() == "brine 120 to 150 degC, air 0 to 30 degC"
    assert plant.covers(np.array([119.0, 120.0]), np.array([0.0, 30.0])).tolist() == [False, True]
    assert plant.over(np.array([0.0]), np.array([0.0])) is powers


def test_order_blank_lines_and_spaces_do_not_matter():
    shuffled = "\r\n".join((", ".join(COLUMNS), ROWS[2], "", ROWS[0], ROWS[3], " 120 , 30 , 12 , 74", ""))
    assert np.array_equal(vendor_map(shuffled).net, vendor_map(GOOD).net)


@pytest.mark.parametrize(("text", "said"), [
    ("", "the first line must be: brine_temperature"),
    (GOOD.replace("degC", "degF"), "the first line must be: brine_temperature"),
    ("\n".join(ROWS), "the first line must be"),
    (HEADER, "0 rows do not make a full grid"),
    ("\n".join((HEADER, *ROWS[:3])), "3 rows do not make a full grid of 2 brine and 2 air temperatures"),
    ("\n".join((HEADER, *ROWS[:3], ROWS[0])), "every pair must stand once"),
    ("\n".join((HEADER, *ROWS, ROWS[0])), "every pair must stand once"),
    ("\n".join((HEADER, ROWS[0], ROWS[1])), "with at least two of each"),
    (GOOD.replace("36", "much"), "line 4: '150, 0, much, 66' is not 4 numbers"),
    (GOOD.replace("36", "nan"), "line 4"),
    (GOOD.replace("36", "inf"), "line 4"),
    (GOOD.replace("120,30,12,74", "120,30,12"), "line 3"),
    (GOOD.replace("120,30,12,74", "120,30,12,74,1"), "line 3"),
    (GOOD.replace("36,66", "36,151"), "brine leaves hotter than it came"),
])  # fmt: skip
def test_vendor_table_that_is_no_map(text, said):
    with pytest.raises(MapFileError) as fault:
        vendor_map(text)
    assert said in str(fault.value)
