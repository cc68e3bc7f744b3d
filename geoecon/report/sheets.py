"""A small table of texts, which every face shows in its own way."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Sheet:
    """A small table of texts under a title, with notes below it.

    words : whether the cells are words, which stand on the left, and not figures
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()
    words: bool = False
