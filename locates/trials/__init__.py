"""Trial holes and what they say of depths, where owners' plans show services, and what is told back to the owners."""
