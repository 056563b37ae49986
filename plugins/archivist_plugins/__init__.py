"""Every format we read or write; each plugin uses only what a stranger's plugin could use."""
