"""A text of comma-separated values as rows of cells."""

import csv

from geoecon.errors import TableFileError


def rows_of(text: str) -> list[list[str]]:
    r"""The lines of a table as cells. Raises `TableFileError` where it is none, or another sign parts its cells.

    >>> rows_of("year,price\n1,80\n")
    [['year', 'price'], ['1', '80']]
    """
    try:
        lines = list(csv.reader(text.removeprefix("\ufeff").splitlines()))
    except csv.Error as error:
        raise TableFileError(f"is not a table of comma-separated values: {error}") from None
    for sign, name in ((";", "semicolons"), ("\t", "tabs")):
        if lines and len(lines[0]) == 1 and sign in lines[0][0]:
            words = "save it as comma-separated values, with a comma between cells and a point before decimals"
            raise TableFileError(f"has {name} between its cells; {words}")
    return lines
