"""Wells: how many, what they cost, and which are added over the life."""
