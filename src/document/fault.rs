//! What is wrong with a file, and where.
//!
//! Messages are lower case without a final stop; names stand in backticks; found comes before allowed.

use super::{Source, Span, neutral::neutralise};

/// One fault at one place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where.
    pub span: Span,
    /// What is wrong.
    pub message: String,
    /// What was found, as it stands in the file.
    pub found: Option<String>,
    /// What would have been allowed.
    pub allowed: Option<String>,
    /// The remedy.
    pub hint: Option<String>,
    /// A second place that explains the first.
    pub other: Option<(Span, String)>,
}

impl Fault {
    /// A fault with its message; control characters are made visible.
    pub fn new(span: Span, message: impl AsRef<str>) -> Self {
        let message = neutralise(message.as_ref()).into_owned();
        Self { span, message, found: None, allowed: None, hint: None, other: None }
    }
    /// States what was found.
    #[must_use]
    pub fn found(self, found: impl AsRef<str>) -> Self {
        Self { found: Some(neutralise(found.as_ref()).into_owned()), ..self }
    }
    /// States what would have been allowed.
    #[must_use]
    pub fn allowed(self, allowed: impl AsRef<str>) -> Self {
        Self { allowed: Some(neutralise(allowed.as_ref()).into_owned()), ..self }
    }
    /// Names the remedy.
    #[must_use]
    pub fn hint(self, hint: impl AsRef<str>) -> Self {
        Self { hint: Some(neutralise(hint.as_ref()).into_owned()), ..self }
    }
    /// Names the remedy if there is one.
    #[must_use]
    pub fn hint_if(self, hint: Option<impl AsRef<str>>) -> Self {
        match hint {
            Some(hint) => self.hint(hint),
            None => self,
        }
    }
    /// Points at a second place.
    #[must_use]
    pub fn other(self, span: Span, label: impl AsRef<str>) -> Self {
        Self { other: Some((span, neutralise(label.as_ref()).into_owned())), ..self }
    }
}

/// All faults of one or more files; never empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Faults {
    pub(super) files: Vec<(Source, Vec<Fault>)>,
}

impl Faults {
    /// The faults of one file, in the order of their places.
    pub fn new(source: Source, mut faults: Vec<Fault>) -> Self {
        faults.sort_by_key(|fault| fault.span.start);
        Self { files: vec![(source, faults)] }
    }
    /// A fault of a file as a whole, such as one that cannot be opened.
    pub fn of_file(name: impl Into<String>, message: &str, allowed: &str) -> Self {
        let fault = Fault::new(Span::default(), message).allowed(allowed);
        Self::new(Source::new(name, ""), vec![fault])
    }
    /// Takes over the faults of other files.
    pub fn absorb(&mut self, other: Self) {
        self.files.extend(other.files);
    }
    /// All faults with their files.
    pub fn iter(&self) -> impl Iterator<Item = (&Source, &Fault)> {
        self.files.iter().flat_map(|(source, faults)| faults.iter().map(move |fault| (source, fault)))
    }
    /// The result of reading several files: all values, or all faults of all files.
    pub fn gather<T>(results: impl IntoIterator<Item = Result<T, Self>>) -> Result<Vec<T>, Self> {
        let mut values = Vec::new();
        let mut all: Option<Self> = None;
        for result in results {
            match (result, &mut all) {
                (Ok(value), _) => values.push(value),
                (Err(faults), Some(all)) => all.absorb(faults),
                (Err(faults), none) => *none = Some(faults),
            }
        }
        all.map_or(Ok(values), Err)
    }
}

impl std::fmt::Display for Faults {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.render(false))
    }
}

impl std::error::Error for Faults {}
