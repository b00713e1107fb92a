"""What the bench lets be heard: cues, their sounds, and how they are played."""
