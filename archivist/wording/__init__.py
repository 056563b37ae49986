"""What the model holds, told in plain words: the same words on every screen and in every format.

- `values` tells one value: a date, a size, a mark, an event
- `facts` tells a whole piece, as headed lines in a fixed order
"""
