"""The front office: prices, takeoff, labour, freight, shares, the quote, its workbook, the desk and the command."""
