//! Enums whose variants have a name: quantities in faults. Words for people are made above, by variant.

/// An enum of names: `Display` gives them, `ALL` lists them.
macro_rules! named {
    ($(#[$about:meta])* pub enum $name:ident { $($variant:ident = $text:literal,)* }) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum $name {
            $(
                #[doc = concat!("The ", $text, ".")]
                $variant,
            )*
        }

        impl $name {
            /// All of them.
            pub const ALL: &'static [$name] = &[$($name::$variant,)*];
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(match self {
                    $($name::$variant => $text,)*
                })
            }
        }
    };
}

pub(crate) use named;
