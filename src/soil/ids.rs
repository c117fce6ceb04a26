//! Closed lists of contract ids: one row an id, everything else derived from the list.

/// Declares an enum whose variants carry a contract id.
macro_rules! contract_ids {
    ($(#[$meta:meta])* $name:ident { $($(#[$vmeta:meta])* $variant:ident = $id:literal),+ $(,)? }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        pub enum $name {
            $($(#[$vmeta])* #[doc = concat!("`", $id, "`")] #[serde(rename = $id)] $variant),+
        }

        impl $name {
            /// Every member, in the contract's order.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The contract's id.
            pub const fn id(self) -> &'static str {
                match self { $(Self::$variant => $id),+ }
            }

            /// The member with this id.
            pub fn from_id(id: &str) -> Option<Self> {
                match id { $($id => Some(Self::$variant),)+ _ => None }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.id())
            }
        }
    };
}
pub(crate) use contract_ids;
