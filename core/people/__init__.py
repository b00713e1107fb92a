"""The people who measure, review and keep the register, and their keys."""
