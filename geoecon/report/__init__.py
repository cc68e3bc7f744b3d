"""What a result looks like to a person: words for numbers, the one-screen answer, files."""
