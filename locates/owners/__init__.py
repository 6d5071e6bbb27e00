"""Conditions of the owners of services: what must be agreed with them near a dig, and what was agreed."""
