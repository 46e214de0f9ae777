//! Room `recipe`: which dyes and how much.
//!
//! So far the numerical search only; the ranking is built around it. See ARCHITECTURE.md.

pub mod engine;
