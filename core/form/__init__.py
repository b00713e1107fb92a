"""Form and size: exact computations on arrays, frozen results out. No Qt, no files, no clock."""
