//! Room `dosing`: see ARCHITECTURE.md.
