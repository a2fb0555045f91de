"""The face that the pages share: frame, style, drawings, first page."""
