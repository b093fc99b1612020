"""Exact placement of lights and speakers on a rectangular ceiling.

problem states a room, costs and measure say what a layout is worth, window and search find the best one on an axis,
solve puts the two axes together, read and answer are the room file's two ends.
"""
