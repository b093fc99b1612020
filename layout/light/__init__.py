"""A room's light: what is set for it, what was read on site, its pages. The sums are in layout/engine/light."""
