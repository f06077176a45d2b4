"""Steps that bring a database to the tables of this version."""
