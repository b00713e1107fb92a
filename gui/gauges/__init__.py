"""The place of gauges: the register of equipment, the line of each gauge, and tests on it."""
