"""The record of an inspection: events, their chain, and the state they add up to."""
