//! What a coach declares about a client's own speech, so that it is never marked wrong.

use super::Accent;
use crate::inventory::OptionRow;

/// A name that is no option of the accent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownOption {
    /// The name as it was given.
    pub given: String,
    /// The options that the accent has.
    pub known: &'static [OptionRow],
}

impl Accent {
    /// The accent with options declared: a name switches one on, `no-` and a name switches
    /// it off; the last word on an option counts.
    ///
    /// # Errors
    ///
    /// The first name that is no option of the accent.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::accent::Accent;
    ///
    /// let accent = Accent::named("en-US").unwrap();
    /// assert!(accent.is_on("flap") && !accent.is_on("cot-caught"));
    /// let declared = accent.declared(["cot-caught", "no-flap"]).unwrap();
    /// assert!(!declared.is_on("flap") && declared.is_on("cot-caught"));
    /// assert!(accent.declared(["cot-court"]).is_err());
    /// ```
    pub fn declared<'n>(
        &self,
        names: impl IntoIterator<Item = &'n str>,
    ) -> Result<Self, UnknownOption> {
        let mut options = self.options.clone();
        for given in names {
            let name = given.strip_prefix("no-").unwrap_or(given);
            let known = self.table.options;
            let Some(option) = known.iter().find(|option| option.name == name) else {
                let given = given.to_owned();
                return Err(UnknownOption { given, known });
            };
            options.retain(|on| *on != option.name);
            if name == given {
                options.push(option.name);
            }
        }
        Ok(Self::made(self.table, options))
    }
}
