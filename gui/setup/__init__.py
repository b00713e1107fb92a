"""Before the first press: which shaft, which plan, which gauge, and the cautions."""
