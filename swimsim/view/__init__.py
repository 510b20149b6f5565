"""The drawing room: cameras, pictures and clips. It draws the Marks it is handed and never sees the truth."""
