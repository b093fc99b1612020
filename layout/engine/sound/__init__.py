"""What a room's loudspeakers give: levels, coverage, angles, modes of the room and how long sound stays in it."""
