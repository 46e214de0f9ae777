//! Room `plan`: a whole costume decided; the finished plan as a document.
//!
//! So far the document's shape; see ARCHITECTURE.md.

pub mod document;
