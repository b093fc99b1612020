"""A room's sound: seats, screen, what stands where, its pages. The sums are in layout/engine/sound."""
