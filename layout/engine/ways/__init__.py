"""What to do about a layout that won't fit: why it won't, the ways out, layouts that differ in kind, task aids, and the
moves worked out on site.

rules names what can clash and what a way costs; lines and search move the lines of one axis; read finds those lines in
a layout; out gives the ways in the order a crew takes them; why finds the smallest clash; words says both. choices and
tasks propose; on_site is what a phone works out with no signal.
"""
