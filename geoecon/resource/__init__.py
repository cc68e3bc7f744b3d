"""What is below ground: water, and how a field changes over the years."""
