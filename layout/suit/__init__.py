"""Pages that suit a ceiling to its marks, or its marks to what is under them. Finds nothing the engine does not."""
