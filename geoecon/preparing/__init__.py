"""From a case to plain numbers of site, field and plant: what needs more than one field.

Here and in `terms`, `sizing` and `purchasing` the names of the case meet the arguments of the formulas.
"""
