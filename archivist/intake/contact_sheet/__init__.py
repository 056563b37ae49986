"""Photographs put before their owner: a page to look through, a sheet to correct and hand back."""
