"""The colours of a glaze, read from a photograph, and how far apart two of them look.

Nothing is imported here, so that a command that looks at no picture pays for none of it:

- `measure` is the whole of it: a picture in, the colours of the piece out, or why there are none
- `lab` turns sRGB into CIELAB and back, `difference` is CIEDE2000
- `ground` tells the piece from what stands around it, `light` what only shines or lies in shadow
- `palette` gathers what is left into a few colours, `card` finds a grey card and balances by it
- `values` are what comes out, as it is kept
"""
