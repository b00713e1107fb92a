"""How a bearing ring will sit on the shaft as it was measured: an estimate, never an acceptance."""
