"""The guided locate: recorded where it happens, in the order in which the work is done."""
