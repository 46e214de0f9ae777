//! Room `auditor`: see ARCHITECTURE.md.
