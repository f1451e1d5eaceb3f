"""The leather: units, the hide as a value, and every way in which a hide becomes one."""
