//! Layer 2a: the journal. Signed, hash-chained, append-only events in SQLite.
