"""Guards: import order, start-up, golden numbers."""
