"""Exact placement of lights and speakers on a rectangular ceiling.

problem states a room, measure says what a layout is worth, costs what a hole meets at each tick. axis turns a room into
its two axes and between knows their speakers; masks, pairs and windows find the best layouts of an axis within limits,
and search the best of all. standing and together join the two axes where obstructions do. solve puts it all together,
repairs says what could be moved instead; read and answer are the room file's two ends.
"""
