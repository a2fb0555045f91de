"""Places and rooms: size, walls, windows, circuits."""
