"""Pages: of logs and layouts, and of bringing a log in."""
