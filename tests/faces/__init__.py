"""The command line and the pages, as a person meets them."""
