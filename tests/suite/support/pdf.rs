//! Reads a PDF back: what is on which page, where, and what the file claims.
