"""What the crew finds on site, and the card it gives."""
