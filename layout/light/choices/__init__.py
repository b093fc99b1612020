"""Other layouts of a room by their light: compared, searched for, and taken."""
