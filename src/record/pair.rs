//! Looking up what is kept by two names without copying them.

use std::borrow::Borrow;
use std::cmp::Ordering;

/// Two names that stand for a key of a map.
pub(super) trait Pair {
    /// Both.
    fn pair(&self) -> (&str, &str);
}

impl Pair for (String, String) {
    fn pair(&self) -> (&str, &str) {
        (&self.0, &self.1)
    }
}

impl Pair for (&str, &str) {
    fn pair(&self) -> (&str, &str) {
        *self
    }
}

// As the tuple itself is compared: a map asks for that.
impl PartialEq for dyn Pair + '_ {
    fn eq(&self, other: &Self) -> bool {
        self.pair() == other.pair()
    }
}

impl Eq for dyn Pair + '_ {}

impl PartialOrd for dyn Pair + '_ {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for dyn Pair + '_ {
    fn cmp(&self, other: &Self) -> Ordering {
        self.pair().cmp(&other.pair())
    }
}

impl<'a> Borrow<dyn Pair + 'a> for (String, String) {
    fn borrow(&self) -> &(dyn Pair + 'a) {
        self
    }
}
