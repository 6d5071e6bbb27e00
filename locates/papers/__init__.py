"""Papers that were issued: each a number, a digest and an address at which anyone can look up whether its permit still holds."""
