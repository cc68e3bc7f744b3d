"""Pieces of the page that screens a site: which site, what is known of it, files to take away."""

import json

import streamlit as st

from geoecon import shipped_sites
from geoecon.case.fields import about
from geoecon.case.site import SITE_TABLES
from geoecon.errors import CaseError
from geoecon.report import screen as words
from geoecon.report.screen_json import as_json
from geoecon.report.sheets import Sheet
from geoecon.report.words import plain_text
from geoecon.studies.screen import Screen
from geoecon.ui import passes

OWN = "a file of mine"
DRAWS, SEED = 10_000, 1
GROUPS = {
    "place": "Place", "springs": "Springs", "water": "Analysis of the water", "ground": "Heat in the ground",
    "reservoir": "Reservoir", "flow_test": "Flow test", "access": "Land and line", "buyer": "Buyer",
}  # fmt: skip
LEFT = ("place", "springs", "water", "reservoir")
NOTHING = "not stated"


def screened() -> Screen:
    """Ask which site and what is known of it, and look at it; where that cannot be, say why and stop."""
    name, text = _site()
    told = _told(name, text)
    found = passes.screen_of(text, told, DRAWS, SEED)
    if isinstance(found, CaseError):
        for fault in found.faults:
            st.error(plain_text(str(fault)))
        st.stop()
    return found


def _site() -> tuple[str, str]:
    """Name and text of the site that is looked at."""
    shipped = shipped_sites()
    name = str(st.selectbox("Site", [*shipped, OWN], key="site:name", help="Examples are invented places."))
    if name != OWN:
        return name, shipped[name].read_text(encoding="utf-8")
    file = st.file_uploader("Site file (TOML)", type="toml", key="site:file")
    if file is None:
        st.caption("A site file states what is known, each value with its unit; a name alone is enough.")
        return OWN, '[place]\nname = "A place of mine"\n'
    return file.name, file.getvalue().decode("utf-8", errors="replace")


def _told(name: str, text: str) -> tuple[tuple[str, str], ...]:
    """What the fields say otherwise than the file, path -> text; empty where a field was emptied."""
    site = passes.site_of(text)
    if isinstance(site, CaseError):
        return ()
    told = {}
    with st.expander("What is known of the place: change it here"):
        st.caption("A number with its unit, or a range such as 40 to 60 K/km. Leave empty what is not known.")
        left, right = st.columns(2, gap="large")
        for table, title in GROUPS.items():
            with left if table in LEFT else right:
                st.markdown(f"**{title}**")
                for leaf in SITE_TABLES[table].model_fields:
                    path = f"{table}.{leaf}"
                    now, was = _field(name, path, site.text(path)), site.text(path)
                    if now.strip() != was:
                        told[path] = now
    return tuple(told.items())


def _field(name: str, path: str, was: str) -> str:
    """One field of the site, as a text; a choice where there is one."""
    table, _, leaf = path.partition(".")
    described, key = about(SITE_TABLES[table], leaf), f"site:{name}:{path}"
    label = leaf.replace("_", " ").capitalize()
    if described.form == "switch":
        return "true" if st.checkbox(label, was == "true", key=key, help=described.help) else was and "false"
    if described.options:
        options = [NOTHING, *described.options]
        chosen = st.selectbox(label, options, options.index(was) if was in options else 0, key=key, help=described.help)
        return "" if chosen == NOTHING else str(chosen)
    return str(st.text_input(label, was, key=key, help=described.help))


def more(found: Screen, system: str) -> tuple[Sheet, ...]:
    """The sheets that come after the charts."""
    readings = (words.geothermometers(found, system),) if found.chemistry is not None else ()
    return (words.plants(found), words.ways(found, system), *readings, words.assumptions(found, system))


def downloads(found: Screen) -> None:
    """A case to go on with, and the screen as it is."""
    st.subheader("To go on with", divider="gray", anchor=False)
    made = passes.case_of(found)
    stem = "".join(letter if letter.isalnum() else "-" for letter in found.site.place.name.lower()).strip("-") or "site"
    if isinstance(made, CaseError):
        st.markdown(plain_text(f"No case can be written: {made.faults[0].message}."))
    else:
        _, *said, assumed, _ = words.told_of_case(made, f"{stem}.toml")
        for line in said:
            st.markdown(plain_text(line))
        st.caption(plain_text(assumed))
        st.download_button("Case (TOML)", made.text, f"{stem}.toml", "application/toml")
    shown = json.dumps(as_json(found), indent=2, ensure_ascii=False, allow_nan=False)
    st.download_button("Screen (JSON)", shown, f"{stem}-screen.json", "application/json")
