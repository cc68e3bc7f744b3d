"""Tables as an auditor reads them: ruled, figures aligned, headings and names standing still while years move past.

On a narrow screen a table by year moves sideways below its names; one of few columns folds, each row under its name.
"""

from collections.abc import Iterable, Mapping, Sequence
from html import escape

import streamlit as st

from geoecon.report.charts.frame import INK, LINES, PAPER, STONE
from geoecon.report.ruled import HEAD, LINE, Ruled
from geoecon.report.words import plain_text

NARROW, LETTER, GAP = 350, 7.3, 13  # pixels of a telephone's page, of a letter, between two columns
STYLE = f"""<style>
.ruled {{overflow-x: auto; margin: 0 0 0.2rem 0; color: {INK}}}
.ruled table {{border-collapse: collapse; font-size: 0.875rem; line-height: 1.35; width: auto; margin: 0}}
.ruled.full table {{width: 100%}}
.ruled.few thead th, .ruled.folds td {{white-space: normal}}
.ruled.few th.still {{overflow-wrap: anywhere}}
.ruled th, .ruled td {{border: none; padding: 0.2rem 0 0.2rem 1.1rem; text-align: right; vertical-align: baseline;
  font-weight: 400; white-space: nowrap; font-variant-numeric: tabular-nums}}
.ruled thead th {{color: {STONE}; border-bottom: 1px solid {STONE}; font-size: 0.8rem}}
.ruled .word {{text-align: left; padding-left: 0; padding-right: 0.6rem; white-space: normal}}
.ruled th.still {{position: sticky; left: 0; background: {PAPER}; min-width: 12.5rem; max-width: 19rem}}
.ruled td.word + td.word, .ruled td.word {{padding-left: 0.6rem}}
.ruled tr.head th {{font-weight: 600; padding-top: 0.9rem}}
.ruled tr.sum th, .ruled tr.sum td {{font-weight: 600; border-top: 1px solid {LINES}}}
@media (max-width: 640px) {{
  .ruled th.still {{min-width: 7.6rem; max-width: 8.6rem}}
  .ruled th, .ruled td {{padding-left: 0.8rem}}
  .ruled.few th.still {{min-width: 0}}
  .ruled.folds {{overflow-x: visible}}
  .ruled.folds table, .ruled.folds tbody, .ruled.folds tr {{display: block; width: 100%}}
  .ruled.folds thead {{position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%)}}
  .ruled.folds tr {{border-bottom: 1px solid {LINES}; padding: 0.5rem 0}}
  .ruled.folds th.still {{display: block; position: static; max-width: none; padding: 0; font-weight: 600}}
  .ruled.folds td {{display: flex; justify-content: space-between; gap: 1.2rem; padding: 0.1rem 0; white-space: normal}}
  .ruled.folds td::before {{content: attr(data-head); color: {STONE}; text-align: left; overflow-wrap: anywhere}}
  .ruled.folds td:empty {{display: none}}
}}
</style>"""


def ruled(table: Ruled, *, title: bool = True, full: bool = False) -> None:
    """A table under its title, with its notes below; wider than the page it moves sideways below still names.

    full : whether it takes the width of the page
    """
    if title:
        st.subheader(plain_text(table.title), divider="gray", anchor=False)
    st.html(STYLE + _markup(table, "full" if full else ""))
    for note in table.notes:
        st.caption(plain_text(note))


def folding(
    title: str, heads: Sequence[str], rows: Iterable[Sequence[str]], helps: Mapping[str, str] | None = None
) -> None:
    """A table of texts as wide as the page, the first of a row its name; too wide for a narrow screen it folds there.

    title : read out, not shown;  helps : heading -> what it means, told where a pointer rests on it
    """
    table = Ruled(title, tuple(heads), tuple((LINE, tuple(row)) for row in rows))
    st.html(STYLE + _markup(table, "full few folds" if _asks(table) > NARROW else "full few", helps or {}))


def _asks(table: Ruled) -> float:
    """Pixels that a table asks for at least: its cells in one line, its headings in as many as they have words."""
    columns = list(zip(*(cells for _, cells in table.rows), strict=True))
    heads = (max(map(len, head.split()), default=0) for head in table.heads)
    widest = [max(head, *map(len, column)) for head, column in zip(heads, columns, strict=True)]
    return LETTER * sum(widest) + GAP * len(widest)


def _markup(table: Ruled, looks: str, helps: Mapping[str, str] | None = None) -> str:
    told = helps or {}
    heads = "".join(
        _cell(n, head, table.words, "th", ' scope="col"' + (_attribute("title", told[head]) if head in told else ""))
        for n, head in enumerate(table.heads)
    )
    named = table.heads if "folds" in looks else ()
    rows = "".join(f'<tr class="{kind}">{_cells(kind, cells, table.words, named)}</tr>' for kind, cells in table.rows)
    return (
        f'<div class="ruled {looks}" tabindex="0" role="region" aria-label="{escape(table.title)}">'
        f"<table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>"
    )


def _cells(kind: str, cells: tuple[str, ...], words: int, named: tuple[str, ...]) -> str:
    """Cells of a row; each says its heading itself where `named` gives them, for the row may be folded."""
    scope = ' scope="rowgroup"' if kind == HEAD else ' scope="row"'
    own = [_attribute("data-head", named[n]) if named and n else "" for n in range(len(cells))]
    return "".join(_cell(n, cell, words, "td" if n else "th", own[n] if n else scope) for n, cell in enumerate(cells))


def _attribute(name: str, text: str) -> str:
    return f' {name}="{escape(text)}"'


def _cell(n: int, text: str, words: int, tag: str, more: str) -> str:
    kinds = " ".join(kind for kind, holds in (("word", n < words), ("still", n == 0)) if holds)
    looks = f' class="{kinds}"' if kinds else ""
    return f"<{tag}{more}{looks}>{escape(text)}</{tag}>"
