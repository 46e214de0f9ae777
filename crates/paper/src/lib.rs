//! Room `paper`: see ARCHITECTURE.md.
