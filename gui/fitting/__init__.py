"""The fitting: from an accepted seat to a bearing that turns."""
