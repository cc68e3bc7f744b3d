"""Pages for people who would rather not write a file. They show what the package returns and compute nothing."""
