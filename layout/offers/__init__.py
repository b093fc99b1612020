"""Ways out and other layouts, offered with a drawing and taken with a reason."""
