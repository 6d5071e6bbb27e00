"""The registers in the browser: lists, leaves, entry and correction, for every app that declares its books."""
