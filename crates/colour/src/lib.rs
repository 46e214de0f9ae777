//! Room `colour`: see ARCHITECTURE.md.
