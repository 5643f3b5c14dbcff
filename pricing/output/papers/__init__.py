"""Papers that go with a consignment, one set for each destination: what they say, and the pages they say it on."""
