"""Tables as an auditor reads them: ruled, figures aligned, headings and names standing still while years move past."""

from html import escape

import streamlit as st

from geoecon.report.charts.frame import INK, LINES, PAPER, STONE
from geoecon.report.ruled import HEAD, Ruled
from geoecon.report.words import plain_text

STYLE = f"""<style>
.ruled {{overflow-x: auto; margin: 0 0 0.2rem 0; color: {INK}}}
.ruled table {{border-collapse: collapse; font-size: 0.875rem; line-height: 1.35; width: auto; margin: 0}}
.ruled.full table {{width: 100%}}
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
}}
</style>"""


def ruled(table: Ruled, *, title: bool = True, full: bool = False) -> None:
    """A table under its title, with its notes below; wider than the page it moves sideways below still names.

    full : whether it takes the width of the page
    """
    if title:
        st.subheader(plain_text(table.title), divider="gray", anchor=False)
    st.html(STYLE + _markup(table, full))
    for note in table.notes:
        st.caption(plain_text(note))


def _markup(table: Ruled, full: bool) -> str:
    heads = "".join(_cell(n, head, table.words, "th", ' scope="col"') for n, head in enumerate(table.heads))
    rows = "".join(f'<tr class="{kind}">{_cells(kind, cells, table.words)}</tr>' for kind, cells in table.rows)
    return (
        f'<div class="ruled{" full" if full else ""}" tabindex="0" role="region" aria-label="{escape(table.title)}">'
        f"<table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>"
    )


def _cells(kind: str, cells: tuple[str, ...], words: int) -> str:
    scope = ' scope="rowgroup"' if kind == HEAD else ' scope="row"'
    return "".join(_cell(n, cell, words, "td" if n else "th", "" if n else scope) for n, cell in enumerate(cells))


def _cell(n: int, text: str, words: int, tag: str, scope: str) -> str:
    kinds = " ".join(kind for kind, holds in (("word", n < words), ("still", n == 0)) if holds)
    looks = f' class="{kinds}"' if kinds else ""
    return f"<{tag}{scope}{looks}>{escape(text)}</{tag}>"
