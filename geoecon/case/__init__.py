"""What a person wrote: the schema of a case, reading and writing it, and the faults found between its fields."""

from geoecon.case.reading import Case, load_case
from geoecon.case.site_reading import Site, load_site

__all__ = ["Case", "Site", "load_case", "load_site"]
