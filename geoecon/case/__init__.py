"""What a person wrote: the schema of a case, reading and writing it, and the faults found between its fields."""

from geoecon.case.reading import Case, load_case

__all__ = ["Case", "load_case"]
