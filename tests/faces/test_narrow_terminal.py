"""On a narrow terminal studies fit: tables stand text under text, sentences are wrapped, and nothing is lost."""

from itertools import chain

import pytest

import geoecon
from geoecon.cli.studies import wrapped
from geoecon.report.breakeven import rows
from geoecon.studies.breakeven import breakeven, usual_target
from tests.faces.command import run_command

NARROW = 60


def said(*words, columns):
    done = run_command(*words, columns=columns)
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


@pytest.mark.parametrize(
    "words",
    [("tornado", "sorrel-basin", "--spider"), ("breakeven", "sorrel-basin"), ("stress", "sorrel-basin"),
     ("breakeven", "sorrel-basin", "--with", "resource.temperature", "market.price"),
     ("indices", "dunmarrow", "--draws", "64")],
)  # fmt: skip
def test_nothing_is_wider_than_the_terminal(words):
    narrow, wide = (said(*words, columns=columns) for columns in (NARROW, 2000))
    assert max(map(len, narrow)) <= NARROW
    numbers = [
        {word for word in " ".join(lines).replace(";", " ").split() if word[0].isdigit()} for lines in (wide, narrow)
    ]
    assert numbers[0] <= numbers[1]


def test_every_text_of_a_row_stands_under_its_heading():
    case = geoecon.load_case(geoecon.shipped_case("sorrel-basin"))
    shown = said("breakeven", "sorrel-basin", columns=NARROW)
    for row in rows(breakeven(case, usual_target(case))):
        at = shown.index(row.path)
        assert shown[at + 1] == f"  as it is: {row.now}"
        told = " ".join(line.strip() for line in shown[at + 2 : at + 6])
        assert row.needed in told


def test_a_line_that_fits_stays_as_it_is():
    line = "a  b   c"
    assert wrapped(line, None) == wrapped(line, 8) == line
    assert wrapped("    one two three", 12) == "    one two\n      three"
    assert "".join(chain(wrapped("x" * 50, 10))) == "x" * 50
