"""Register folders in and out: the mechanism. Each app declares its own tables in a registers.py."""
