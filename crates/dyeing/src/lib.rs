//! Room `dyeing`: see ARCHITECTURE.md.
