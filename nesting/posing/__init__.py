"""A hide and what is wanted of it become a `Problem`: usable regions, angles, a frame of its own."""
