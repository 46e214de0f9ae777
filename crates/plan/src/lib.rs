//! Room `plan`: see ARCHITECTURE.md.
