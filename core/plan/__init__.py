"""Plans: what is to be measured on a shaft and how it is judged."""
