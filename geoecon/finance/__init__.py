"""Money over time. Knows streams, rates and rules of tax; knows no geothermal, no case and no file."""
