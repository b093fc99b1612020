"""What a room sounds like, drawn: SVG, each with a table twin. Values in, text out: no records, no page."""
