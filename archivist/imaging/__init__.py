"""Pixels and what stands around them: headers, views, copies for others, fingerprints.

Nothing is imported here, so that a command that looks at no picture pays for none of it:

- `probe` reads what a file says of itself, without decoding it
- `pixels` opens a picture upright, in sRGB or grey, 8 bits a channel
- `clean_copy` writes the copy that others than the owner may have
- `derivatives` writes thumbnails and tiles
- `fingerprint` says how alike two pictures look
- `colour` measures the colours of a glaze, and how different two colours look
"""
