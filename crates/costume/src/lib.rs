//! Room `costume`: see ARCHITECTURE.md.
