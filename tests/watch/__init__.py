"""The watch: what lapses is told ahead, whoever forgot to look."""
