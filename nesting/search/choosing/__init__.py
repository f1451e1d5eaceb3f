"""The best of many exact places, chosen by CP-SAT."""
