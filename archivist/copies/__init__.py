"""Further copies of an archive, on other disks: brought up to date, compared, and mended from."""
