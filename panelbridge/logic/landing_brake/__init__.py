"""Landing with the parking brake set: a caution, and a horn where the aircraft file asks for it."""
