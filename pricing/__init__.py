"""The front office: prices, takeoff, labour, freight, shares, the quote, its workbook, and the ``casewright`` command."""
