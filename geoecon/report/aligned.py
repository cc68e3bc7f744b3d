"""Rows of texts as aligned columns on a terminal, or one text under another where there is no room for that."""

from collections.abc import Iterator, Sequence

GAP = "  "
LEFT, RIGHT = "<", ">"


def aligned(
    rows: Sequence[Sequence[str]], width: int | None = None, *, first: str = LEFT, others: str = RIGHT
) -> Iterator[str]:
    """Rows of equal length as lines, the first of them headings.

    first, others : on which side texts of the first column and of the others stand; on the left the last text of a row may
    run on below the columns that it leaves empty
    width : columns of a narrow terminal; rows that are wider are told text by text, each under its heading

    >>> list(aligned([("input", "low"), ("depth", "9 m")]))
    ['input  low', 'depth  9 m']
    >>> list(aligned([("input", "low"), ("depth", "9 m")], 8))
    ['depth', '  low: 9 m']
    """
    sides = [first, *[others] * (len(rows[0]) - 1)]
    lasts = [max((k for k, cell in enumerate(row) if cell), default=0) for row in rows]
    widths = [
        max((len(row[k]) for row, last in zip(rows, lasts, strict=True) if side == RIGHT or k < last), default=0)
        for k, side in enumerate(sides)
    ]
    shown = [GAP.join(f"{c:{s}{w}}" for c, s, w in zip(row, sides, widths, strict=True)).rstrip() for row in rows]
    if width is None or max(map(len, shown)) <= width:
        yield from shown
        return
    heads, *told = rows
    for row in told:
        yield row[0].strip()
        yield from (f"{GAP}{head}: {cell}" for head, cell in zip(heads[1:], row[1:], strict=True) if cell)
