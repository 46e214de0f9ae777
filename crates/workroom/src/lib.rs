//! Room `workroom`: see ARCHITECTURE.md.
