"""The archive: where events become durable."""
