"""Template tags of the layout pages."""
