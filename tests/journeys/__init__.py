"""A day through the client and the browser."""
