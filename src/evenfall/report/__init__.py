"""One reading, several ways to show it: words, terminal, pictures, data."""
