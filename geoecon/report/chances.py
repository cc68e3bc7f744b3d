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
