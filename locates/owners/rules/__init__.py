"""Pure: what owners must be asked for near their services, what they agreed to, and what such records may hold."""
