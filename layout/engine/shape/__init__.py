"""The true outline of a ceiling that is no rectangle: walked from its walls, checked, cut into rectangles."""
