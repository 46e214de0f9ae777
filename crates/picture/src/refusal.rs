//! What a picture is refused for, each with what to do.

/// Why a picture, or a reading of one, is refused.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Refusal {
    /// Nothing in the file.
    #[error("the file is empty: choose the picture again")]
    Empty,
    /// More bytes than any picture of a use here.
    #[error(
        "the file has {megabytes} MB, and {most} MB is the most that is read: export it as JPEG in full size"
    )]
    TooLarge {
        /// Its size.
        megabytes: u64,
        /// The most.
        most: u64,
    },
    /// Another kind of file.
    #[error("this is {what}, no picture that can be read: export it as JPEG, PNG, WebP or TIFF")]
    Kind {
        /// What it looks like.
        what: String,
    },
    /// A kind of picture with colours that cannot be read off it.
    #[error("{what}: {rule}")]
    Unfit {
        /// What is the matter.
        what: String,
        /// What to do.
        rule: String,
    },
    /// Too many pixels, or too few.
    #[error("the picture says it is {width} × {height} pixels: {rule}")]
    Size {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
        /// What to do.
        rule: String,
    },
    /// The file breaks off or is damaged.
    #[error("the {kind} file is damaged ({why}): copy it again from the camera, or export it anew")]
    Damaged {
        /// What kind of picture.
        kind: &'static str,
        /// What the decoder says.
        why: String,
    },
    /// A colour profile that cannot be used.
    #[error("the picture's colour profile cannot be used ({why}): export it with the profile sRGB")]
    Profile {
        /// What is the matter.
        why: String,
    },
}
