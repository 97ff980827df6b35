//! Options of drawings of panels.

/// How tiles are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Form {
    /// Each face once, placed by `use`: small, and what every viewer reads.
    #[default]
    Placed,
    /// Each tile written out, one path a colour, filled and without strokes: for programs that do
    /// not follow `use`. Joints between tiles can show as hairs in the mean of the panel's colours.
    Flat,
    /// Not at all: the panel's place stays empty, and pixels are laid there later.
    Blank,
}

/// Options of a drawing of a panel.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PanelOptions {
    /// Its title; the panel's name, where there is none.
    pub title: Option<String>,
    /// How tiles are written.
    pub form: Form,
    /// The drawing's number among those that one document will hold: keeps their ids apart.
    pub number: u32,
}

/// Options of a page with a panel.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PreviewOptions {
    /// The panel in it.
    pub panel: PanelOptions,
    /// A line under the title, such as the seed and parameters that made this panel.
    pub note: Option<String>,
}

impl PanelOptions {
    /// What every id in the drawing begins with.
    pub(super) fn ids(&self) -> String {
        match self.number {
            0 => String::new(),
            n => format!("d{n}-"),
        }
    }
}
