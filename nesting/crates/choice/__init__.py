"""The search above the saw: designs of cases, cartons and faces of a whole order, judged with the cuts."""
