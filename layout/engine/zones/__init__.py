"""A room of several parts, laid out part by part with its lines shared across the joins."""
