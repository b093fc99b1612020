"""The plan editor: a room's ceiling drawn and held by hand. One form is its table, its live answer and its save."""
