"""The register of hides as it is shown, and what cutting a layout does to it."""
