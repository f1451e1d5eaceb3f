"""The cutting: products, the search for a layout, its bound, its check, its sheets, orders and costs."""
