"""The same pass over many scenarios: what moves the answer."""
