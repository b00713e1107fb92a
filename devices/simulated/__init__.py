"""A simulated shaft, micrometer and line: for demonstration, for practice and for tests."""
