"""What the studio edits: price book, rates, freight profiles, calendar rules, rack, destinations, and their files."""
