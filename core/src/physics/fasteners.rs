//! Tightening order for n screws.
