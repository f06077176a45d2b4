"""The database: plants record by record, their changes, people, and long work.

One row holds the content of one record (a circuit, a source type, an area ...); every change
is kept with who, when, why and what it was before, in a chain that shows tampering. One row a
circuit keeps its verdict, so that a register of many circuits is filtered by the database.

``kinds``, ``ledger`` and ``judging`` work on plain objects; ``models`` needs Django to be set
up. The room knows nothing of HTTP.
"""
