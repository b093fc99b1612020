"""Marking out, cutting and finding again: the phone's mark-out, papers for it, the page behind a mark's label."""
