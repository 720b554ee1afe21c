//! Something to tell the player.

/// One message, standing until it is dismissed or replaced.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// How grave it is.
    pub kind: NoticeKind,
    /// What happened, where, and what to do: one line.
    pub text: String,
}

/// How grave a message is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoticeKind {
    /// Something didn't work.
    Error,
    /// Something worked otherwise than expected.
    Remark,
}

impl Notice {
    /// Something that didn't work.
    pub fn error(text: impl Into<String>) -> Notice {
        Notice { kind: NoticeKind::Error, text: text.into() }
    }

    /// Something worth knowing.
    pub fn remark(text: impl Into<String>) -> Notice {
        Notice { kind: NoticeKind::Remark, text: text.into() }
    }
}
