//! Room `tidy`: see ARCHITECTURE.md.
