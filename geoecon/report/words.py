"""Numbers as people read them. Values stay exact elsewhere; only here are they rounded."""

import math
import re
import string
from collections.abc import Callable, Iterable

DASH = "none"


def money(amount: float, currency: str) -> str:
    """An amount with three or four digits that count: 12.95 MUSD, 840 kUSD.

    >>> money(12948000, "USD"), money(-950.4, "USD")
    ('12.95 MUSD', '-950 USD')
    """
    for size, prefix in ((1e9, "G"), (1e6, "M"), (1e3, "k")):
        if abs(amount) >= size * 0.9995:
            return f"{significant(amount / size, 4)} {prefix}{currency}"
    return f"{amount:,.0f} {currency}"


def significant(value: float, digits: int) -> str:
    """A number with so many digits that count, thousands apart, no exponent.

    >>> significant(1234.56, 4), significant(0.0123456, 3)
    ('1,235', '0.0123')
    """
    if value == 0 or not math.isfinite(value):
        return f"{value:g}"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    return f"{round(value, places):,.{max(places, 0)}f}"


def share(value: float, places: int = 1) -> str:
    """A share or rate as a percentage.

    >>> share(0.0594720)
    '5.9 %'
    """
    return f"{round(value * 100, places) + 0.0:.{places}f} %"  # no minus before zero


def listed(names: Iterable[str]) -> str:
    """Names as a sentence has them.

    >>> listed(["wells", "plant", "pumps"]), listed(["wells"])
    ('wells, plant and pumps', 'wells')
    """
    *others, last = names
    return f"{', '.join(others)} and {last}" if others else last


def account_words(name: str) -> str:
    """The name of an account or a line as it is read.

    >>> account_words("owners_cost"), account_words("makeup_wells")
    ("owner's cost", 'make-up wells')
    """
    return name.replace("_", " ").replace("owners cost", "owner's cost").replace("makeup", "make-up")


def homes(low: float, high: float) -> str:
    """A range of homes in two digits, the low figure rounded down.

    >>> homes(1499.9, 2132.7)
    'about 1,400 to 2,100 homes'
    """
    return f"about {_two_digits(low, math.floor):,.0f} to {_two_digits(high, round):,.0f} homes"


def _two_digits(value: float, rounding: Callable[[float], float]) -> float:
    if value < 1:
        return 0.0
    size = 10.0 ** (math.floor(math.log10(value)) - 1)
    return rounding(value / size) * size


# Letters that the pages rewrite although they stand behind a backslash: the second of an arrow, a dash or a comparison, of
# an icon's name or an address. Set apart from the first they stay what they are, and a copy of the text is the text.
_APART = r"(?<=[-<>~])[-=>]|(?<=:)[\w/+-]|(?<=w)w(?=w\.)|(?<=\S)@(?=\S)"
_MARKUP = re.compile(f"(?P<apart>{_APART})|[{re.escape(string.punctuation)}]", re.IGNORECASE)


def plain_text(text: str) -> str:
    r"""A text as Markdown of the pages that shows it letter by letter, in one paragraph: a name is never markup.

    >>> print(plain_text("*net* -> home"))
    \*net\* \-:color[\>] home
    """
    return _MARKUP.sub(_as_letter, re.sub(r"[ \t\n]+", " ", text.strip()))


def _as_letter(found: re.Match[str]) -> str:
    letter = f"\\{found[0]}" if found[0] in string.punctuation else found[0]
    return f":color[{letter}]" if found["apart"] else letter
