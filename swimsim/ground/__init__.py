"""Ground: records, conventions, tables, projection and files. It imports nothing of ours."""
