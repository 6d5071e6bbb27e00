"""The reportlab kit: text in any script that is never markup, ruled tables, page x of y, drawings for page and paper. No Django."""
