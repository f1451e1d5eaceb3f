"""One case laid out: what is worked out for it once, its best checked layout, and why it holds no more."""
