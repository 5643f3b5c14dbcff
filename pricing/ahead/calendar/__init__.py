"""When: from pours, hours, people and suppliers to dates for buying, cutting, building, packing, handing over."""
