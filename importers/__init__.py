"""A file's bytes become rows of text with their place. Knows no catalogue and no database."""
