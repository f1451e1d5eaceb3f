"""Straight-cut plans: strips butted on one struck line, cross-cut into lengths, and the rest beside them."""
