//! Room `bath`: see ARCHITECTURE.md.
