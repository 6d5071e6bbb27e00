"""What a dig's diary may hold, when a look-over is owed, and whether a sweep made again counts."""
