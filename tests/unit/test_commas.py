"""Tables of comma-separated values: rows as they stand, and what parts cells in their place."""

import pytest

from geoecon.commas import rows_of
from geoecon.errors import TableFileError
from geoecon.finance.price_files import PRICE_COLUMNS, yearly_prices
from geoecon.plant.maps import COLUMNS, vendor_map
from geoecon.resource.tables import yearly_temperatures

READERS = (
    (lambda text: yearly_prices(text, 2030, "USD"), PRICE_COLUMNS),
    (vendor_map, COLUMNS),
    (lambda text: yearly_temperatures(text, 1), ("year", "temperature [degC]")),
)


def test_cells_and_quotes():
    assert rows_of('\ufeffa,b\n"1,5",2\n') == [["a", "b"], ["1,5", "2"]]
    assert rows_of("") == []


@pytest.mark.parametrize(("read", "columns"), READERS)
@pytest.mark.parametrize(("sign", "name"), [(";", "semicolons"), ("\t", "tabs")])
def test_another_sign_between_cells_is_named(read, columns, sign, name):
    with pytest.raises(TableFileError, match=f"has {name} between its cells; save it as comma-separated values"):
        read(f"{sign.join(columns)}\n{sign.join('1' for _ in columns)}\n")
