"""Ruled tables of a page that ran without a browser, as data frames."""

from html.parser import HTMLParser

import pandas as pd


class _Cells(HTMLParser):
    def __init__(self):
        super().__init__()
        self.rows, self.inside = [], False

    def handle_starttag(self, tag, attrs):
        if tag == "tr":
            self.rows.append([])
        if tag in {"th", "td"}:
            self.rows[-1].append("")
            self.inside = True

    def handle_endtag(self, tag):
        self.inside = self.inside and tag not in {"th", "td"}

    def handle_data(self, data):
        if self.inside:
            self.rows[-1][-1] += data


def tables(at):
    """Every ruled table of a page in its order: headings as columns, all cells texts."""
    found = []
    for element in at.get("html"):
        if '<div class="ruled' in element.proto.body:
            parser = _Cells()
            parser.feed(element.proto.body)
            head, *rows = parser.rows
            found.append(pd.DataFrame(rows, columns=head))
    return found
