"""What a page of sound says of layouts, channels and surfaces. Knows no page."""
