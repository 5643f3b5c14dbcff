"""A build to a quote: stock with costs, takeoff, labour, freight, lines, ladder, shares, lacks."""
