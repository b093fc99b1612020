"""Exact placement of lights and speakers on a rectangular ceiling.

problem states a room, measure says what a layout is worth. axis and costs turn a room into its two axes, between knows
the speakers, windows, masks and search find the best of one axis, standing and together join two axes where
obstructions do. solve puts it all together; read and answer are the room file's two ends.
"""
