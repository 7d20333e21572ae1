//! Procedures: data that says what is done in which order.
