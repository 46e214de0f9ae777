//! Room `lore`: see ARCHITECTURE.md.
