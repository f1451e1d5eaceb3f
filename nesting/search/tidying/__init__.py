"""A layout made tidy once nothing more is to be had of it: long sides along one line, strips closed up."""
