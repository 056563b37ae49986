"""What our typeset pages share: fonts, the words they can show, a style, one way to set them."""
