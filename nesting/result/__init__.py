"""What is told of a layout: its file, balance of areas, answer and wording."""
