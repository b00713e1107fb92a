"""What a plan can prove before anything is measured, and which reading helps most while it is."""
