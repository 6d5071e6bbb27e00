"""The watch: what is looked at again and again without anybody asking, and who is told ahead what lapses."""
