"""The search: knows the `Problem` only. No files, no units but millimetres, no printing."""
