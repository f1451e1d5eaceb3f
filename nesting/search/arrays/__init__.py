"""The flat arrays of a problem, its goals, and the inner-fit and no-fit polygons over them."""
