"""What compiles kernels, CP-SAT, and the cache on disk."""
