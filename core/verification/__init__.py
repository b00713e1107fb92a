"""Whether a record, an archive or a sheet still is what was sealed: for anybody, years later."""
