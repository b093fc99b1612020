"""Cable: where it runs, what a wire does to volts and level, what fits in a box. Values in, values out."""
