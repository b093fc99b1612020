"""What a shop asks for becomes rows and columns, then marks."""
