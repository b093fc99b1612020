"""What a room's lights give: photometric files, direct light, light between surfaces, and the figures drawn from it."""
