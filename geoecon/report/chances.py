"""Chances in words: a share of cases as a person says it, never a bare percentile."""


def chances(share: float) -> str:
    """A cumulative chance in words, as fine as it means something.

    >>> chances(0.21), chances(0.034), chances(0.004)
    ('about 2 chances in 10', 'about 3 chances in 100', 'less than 1 chance in 100')
    """
    if share < 0.01:
        return "less than 1 chance in 100"
    if share > 0.99:
        return "more than 99 chances in 100"
    whole = 10 if 0.095 <= share < 0.905 else 100
    number = round(share * whole)
    return f"about {number} {'chance' if number == 1 else 'chances'} in {whole}"


def in_chances(chance: float, draws: int) -> str:
    """The share of draws in which something happens, in words.

    >>> in_chances(0.526, 1000), in_chances(0.0042, 1000), in_chances(0.0, 1000)
    ('53 chances in 100 that', '4 chances in 1,000 that', 'in none of 1,000 draws')
    """
    if chance in {0.0, 1.0}:
        if draws == 1:
            return "in the one draw" if chance else "not in the one draw"
        return f"in {'all' if chance else 'none'} of {draws:,} draws"
    rare = min(chance, 1 - chance) < 0.0095
    count, of = (round(chance * 1000), "1,000") if rare else (round(chance * 100), "100")
    if count in {0, 1000}:
        return f"{'fewer than 1 chance' if chance < 0.5 else 'more than 999 chances'} in 1,000 that"
    return f"{count} {'chance' if count == 1 else 'chances'} in {of} that"
