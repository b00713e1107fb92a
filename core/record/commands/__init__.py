"""What may be asked of an inspection, by noun: preparing, presses, the walk, the closing."""
