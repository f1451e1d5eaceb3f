"""How well a piece nests with itself, or two kinds with one another, on leather without end."""
