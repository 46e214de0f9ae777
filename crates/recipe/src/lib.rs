//! Room `recipe`: see ARCHITECTURE.md.
